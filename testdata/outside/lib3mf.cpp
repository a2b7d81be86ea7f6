// Reads a 3MF package with lib3mf, strictly, and writes what its build places as STL.
//
//   c++ -I/usr/include/lib3mf -o lib3mf lib3mf.cpp -l3MF
//   lib3mf FROM.3mf TO.stl
//
// It prints the number of the unit (0 micron, 1 millimetre, 2 centimetre, 3 inch, 4 foot,
// 5 metre) and what the library complains of, a line each. Exit status: 0 read, 1 refused,
// 2 wrong use.
#include <Model/COM/NMR_DLLInterfaces.h>
#include <cstdio>

using namespace NMR;

static int refused(PLib3MFBase *from, const char *what) {
    DWORD code = 0;
    LPCSTR message = nullptr;
    lib3mf_getlasterror(from, &code, &message);
    std::fprintf(stderr, "%s: %u %s\n", what, unsigned(code), message ? message : "");
    return 1;
}

int main(int argc, char **argv) {
    if (argc != 3) {
        std::fprintf(stderr, "usage: lib3mf FROM.3mf TO.stl\n");
        return 2;
    }
    PLib3MFModel *model = nullptr;
    PLib3MFModelReader *reader = nullptr;
    PLib3MFModelWriter *writer = nullptr;
    if (lib3mf_createmodel(&model)) return refused(nullptr, "model");
    if (lib3mf_model_queryreader(model, "3mf", &reader)) return refused(model, "reader");
    if (lib3mf_reader_setstrictmodeactive(reader, true)) return refused(reader, "strict");
    if (lib3mf_reader_readfromfileutf8(reader, argv[1])) return refused(reader, argv[1]);

    DWORD unit = 0, warnings = 0;
    if (lib3mf_model_getunit(model, &unit)) return refused(model, "unit");
    if (lib3mf_reader_getwarningcount(reader, &warnings)) return refused(reader, "warnings");
    std::printf("%u\n", unsigned(unit));
    for (DWORD i = 0; i < warnings; i++) {
        char text[500] = "";
        DWORD code = 0;
        ULONG needed = 0;
        lib3mf_reader_getwarningutf8(reader, i, &code, text, sizeof text, &needed);
        std::printf("%u %s\n", unsigned(code), text);
    }
    if (lib3mf_model_querywriter(model, "stl", &writer)) return refused(model, "writer");
    if (lib3mf_writer_writetofileutf8(writer, argv[2])) return refused(writer, argv[2]);
    return 0;
}
