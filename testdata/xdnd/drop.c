/*
 * drop: drops files on a window under X11 as a file manager does, for the test of the real
 * window. It speaks version 5 of the XDND protocol by itself, with no pointer and no window
 * manager.
 *
 *   cc -o drop drop.c -lX11
 *   drop WINDOW URI...
 *
 * WINDOW is the number of the window that is to be dropped on. Exit status: 0 taken, 1 not
 * taken, 2 wrong use, 3 no answer within ten seconds.
 */
#include <X11/Xatom.h>
#include <X11/Xlib.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { VERSION = 5, PATIENCE_MS = 10000 };

static Display *display;
static Window source, target;

static Atom atom(const char *name) { return XInternAtom(display, name, False); }

static long now_ms(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec * 1000L + t.tv_nsec / 1000000L;
}

/* send sends a message of the protocol to the target; its first word is the source. */
static void send(const char *type, long a, long b, long c, long d) {
    XEvent e;
    memset(&e, 0, sizeof e);
    e.xclient.type = ClientMessage;
    e.xclient.display = display;
    e.xclient.window = target;
    e.xclient.message_type = atom(type);
    e.xclient.format = 32;
    e.xclient.data.l[0] = (long)source;
    e.xclient.data.l[1] = a;
    e.xclient.data.l[2] = b;
    e.xclient.data.l[3] = c;
    e.xclient.data.l[4] = d;
    XSendEvent(display, target, False, NoEventMask, &e);
    XFlush(display);
}

/* hand over the files when the target asks for them. */
static void answer(XSelectionRequestEvent *r, const char *uris) {
    XEvent e;
    memset(&e, 0, sizeof e);
    e.xselection.type = SelectionNotify;
    e.xselection.requestor = r->requestor;
    e.xselection.selection = r->selection;
    e.xselection.target = r->target;
    e.xselection.time = r->time;
    e.xselection.property = None;
    if (r->target == atom("text/uri-list")) {
        XChangeProperty(display, r->requestor, r->property, r->target, 8, PropModeReplace,
                        (const unsigned char *)uris, (int)strlen(uris));
        e.xselection.property = r->property;
    }
    XSendEvent(display, r->requestor, False, NoEventMask, &e);
    XFlush(display);
}

/* wait_for serves requests until the target sends a message; 0 when none comes in time. */
static int wait_for(const char *type, const char *uris, XClientMessageEvent *got) {
    long end = now_ms() + PATIENCE_MS;
    for (;;) {
        while (XPending(display)) {
            XEvent e;
            XNextEvent(display, &e);
            if (e.type == SelectionRequest)
                answer(&e.xselectionrequest, uris);
            if (e.type == ClientMessage && e.xclient.message_type == atom(type)) {
                *got = e.xclient;
                return 1;
            }
        }
        long left = end - now_ms();
        if (left <= 0)
            return 0;
        struct pollfd p = {ConnectionNumber(display), POLLIN, 0};
        poll(&p, 1, (int)left);
    }
}

int main(int argc, char **argv) {
    if (argc < 3 || !(display = XOpenDisplay(NULL)))
        return 2;
    target = strtoul(argv[1], NULL, 0);
    size_t length = 1;
    for (int i = 2; i < argc; i++)
        length += strlen(argv[i]) + 2;
    char *uris = calloc(length, 1);
    if (!uris)
        return 2;
    for (int i = 2; i < argc; i++) {
        strcat(uris, argv[i]);
        strcat(uris, "\r\n");
    }

    Window root, child;
    int x, y;
    unsigned width, height, border, depth;
    if (!XGetGeometry(display, target, &root, &x, &y, &width, &height, &border, &depth))
        return 2;
    XTranslateCoordinates(display, target, root, (int)width / 2, (int)height / 2, &x, &y, &child);
    source = XCreateSimpleWindow(display, root, 0, 0, 1, 1, 0, 0, 0);
    XSetSelectionOwner(display, atom("XdndSelection"), source, CurrentTime);

    XClientMessageEvent got;
    send("XdndEnter", (long)VERSION << 24, (long)atom("text/uri-list"), None, None);
    send("XdndPosition", 0, ((long)x << 16) | y, CurrentTime, (long)atom("XdndActionCopy"));
    if (!wait_for("XdndStatus", uris, &got))
        return 3;
    if (!(got.data.l[1] & 1)) {
        send("XdndLeave", 0, 0, 0, 0);
        return 1;
    }
    send("XdndDrop", 0, CurrentTime, 0, 0);
    if (!wait_for("XdndFinished", uris, &got))
        return 3;
    /* By the protocol the first bit says so; some toolkits put a length there instead. */
    return got.data.l[1] != 0 ? 0 : 1;
}
