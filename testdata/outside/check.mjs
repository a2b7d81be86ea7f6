// Checks Scantling from outside: every copy it writes is read by three's loaders and
// compared with source × factor; its measures are compared with three and manifold-3d;
// every glTF copy must be as clean in gltf-validator as its source was; every 3MF copy is
// read by lib3mf too, strictly, where the program made of lib3mf.cpp is given; the rays in
// FOLDER, with what they met, go through three-mesh-bvh; how parts fit a bed is found by
// other means.
//
//   node check.mjs --scant PROGRAM --demo FOLDER [--vectors FOLDER] [--packages FOLDER]
//       [--lib3mf PROGRAM] [--rays FOLDER] [--keep FOLDER]
//
// Sources: the demo kit; the models of stl-models (closed and open ones; its deliberately
// broken files are checked to give an answer or an error, never a crash); the scan mesh of
// the package bunny; the project's own vectors, glTF and 3MF (packages).
import { execFile } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, dirname, extname, join } from "node:path";
import { parseArgs, promisify } from "node:util";
import validator from "gltf-validator";
import { beyond, diameter, footprint, need } from "./beds.mjs";
import { measure } from "./load.mjs";
import { cast } from "./rays.mjs";
import { solid } from "./solid.mjs";

const { values: args } = parseArgs({
  options: { scant: { type: "string" }, demo: { type: "string" }, vectors: { type: "string" },
    packages: { type: "string" }, lib3mf: { type: "string" }, rays: { type: "string" }, keep: { type: "string" } },
});
if (!args.scant || !args.demo) {
  console.error("usage: node check.mjs --scant PROGRAM --demo FOLDER [--vectors FOLDER] [--keep FOLDER]");
  process.exit(2);
}

const run = promisify(execFile);
const work = args.keep ?? mkdtempSync(join(tmpdir(), "scantling-outside-"));
mkdirSync(work, { recursive: true });

let passed = 0;
let failed = 0;
const worst = new Map(); // largest relative difference by kind of check

function check(what, ok, detail = "") {
  if (ok) {
    passed++;
  } else {
    failed++;
    console.log(`FAIL ${what}: ${detail}`);
  }
}

function close(kind, what, got, want, scale, tolerance) {
  const off = Math.abs(got - want) / scale;
  worst.set(kind, Math.max(worst.get(kind) ?? 0, off));
  check(`${kind} ${what}`, off <= tolerance, `${got} for ${want}, off by ${off.toExponential(2)} of ${scale}`);
}

async function scant(...words) {
  try {
    const { stdout } = await run(args.scant, words, { maxBuffer: 1 << 28 });
    return { code: 0, out: JSON.parse(stdout), err: "" };
  } catch (e) {
    if (typeof e.code !== "number") throw e;
    return { code: e.code, out: e.stdout ? JSON.parse(e.stdout) : null, err: e.stderr };
  }
}

// Sources.
const require = createRequire(import.meta.url);
const models = dirname(require.resolve("stl-models/package.json"));
const own = join(work, "sources");
mkdirSync(own, { recursive: true });

const bunny = require("bunny");
const scan = join(own, "scan.obj");
writeFileSync(
  scan,
  bunny.positions.map((p) => `v ${p.join(" ")}\n`).join("") +
    bunny.cells.map((c) => `f ${c.map((i) => i + 1).join(" ")}\n`).join(""),
);

const list = (dir, ...ends) =>
  readdirSync(dir)
    .filter((n) => ends.some((e) => n.toLowerCase().endsWith(e)))
    .sort()
    .map((n) => join(dir, n));
const sources = [
  ...list(args.demo, ".stl", ".obj", ".glb", ".gltf"),
  ...list(join(models, "objects"), ".stl"),
  ...list(join(models, "polytopes"), ".stl"),
  scan,
];
check("sources", sources.length >= 20, `only ${sources.length} models found`);

const three = new Map();
async function known(path) {
  if (!three.has(path)) three.set(path, await measure(path));
  return three.get(path);
}
const largest = (m) => Math.max(...m.min.map(Math.abs), ...m.max.map(Math.abs), 1e-30);
const span = (m) => Math.max(...m.max.map((x, i) => x - m.min[i]), 1e-30);

// upright is a box as it stands in the format of a copy: y is up in glTF, z in the others.
const isGLTF = (path) => [".glb", ".gltf"].includes(extname(path).toLowerCase());
function upright({ min, max }, source, copy) {
  if (isGLTF(source) === isGLTF(copy)) return { min, max };
  return isGLTF(source)
    ? { min: [min[0], -max[2], min[1]], max: [max[0], -min[2], max[1]] }
    : { min: [min[0], min[2], -max[1]], max: [max[0], max[2], -min[1]] };
}

// 1. What Scantling measures, against three and manifold-3d.
const measured = await scant("measure", "--json", ...sources);
check("measure", measured.code === 0, measured.err);
const byFile = new Map();
for (const p of measured.out?.parts ?? []) byFile.set(p.file, [...(byFile.get(p.file) ?? []), p]);
for (const path of sources) {
  const parts = byFile.get(path) ?? [];
  check(`measured ${basename(path)}`, parts.length > 0 && parts.every((p) => !p.error), JSON.stringify(parts[0]?.error));
  if (parts.length === 0) continue;
  const m = await known(path);
  const unit = m.unit;
  const name = basename(path);
  check(`triangles ${name}`, parts.reduce((n, p) => n + p.triangles, 0) === m.triangles, `three counts ${m.triangles}`);
  for (let a = 0; a < 3; a++) {
    close("measured box", `${name} min ${a}`, Math.min(...parts.map((p) => p.min[a])) * unit, m.min[a], largest(m), 2e-7);
    close("measured box", `${name} max ${a}`, Math.max(...parts.map((p) => p.max[a])) * unit, m.max[a], largest(m), 2e-7);
  }
  const volume = parts.reduce((s, p) => s + p.volume, 0) * unit ** 3;
  const area = parts.reduce((s, p) => s + p.area, 0) * unit ** 2;
  close("measured area", name, area, m.area, Math.max(m.area, 1e-30), 2e-6);
  if (parts.every((p) => p.closed)) close("measured volume", name, volume, m.volume, span(m) ** 3, 1e-6);
  if (parts.length === 1) {
    const s = solid(m.positions);
    check(`closed ${name}`, s.closed === parts[0].closed, `manifold-3d says ${s.closed}, measured ${parts[0].closed}`);
    if (s.closed) close("volume by manifold-3d", name, volume, s.volume, span(m) ** 3, 1e-5);
  }
}

// 2. Every copy, in every format, against source × factor.
const factors = ["0.2173913043478261", "25.4", "0.001"];
const kinds = ["", "stl", "stl-ascii", "obj", "glb", "3mf"];
const gltfPairs = [];
const packages = []; // 3MF copies, with what they should be
for (const factor of factors) {
  for (const kind of kinds) {
    if (kind && factor !== factors[0]) continue; // a change of format is tried at one factor
    const groups = [sources.filter((p) => dirname(p) === args.demo), sources.filter((p) => dirname(p) !== args.demo)];
    for (const [g, group] of groups.entries()) {
      const out = join(work, `copies-${factor}-${kind || "same"}-${g}`);
      rmSync(out, { recursive: true, force: true });
      const words = ["rescale", "--factor", factor, "--out", out, "--verify", "--json"];
      if (kind) words.push("--as", kind);
      const r = await scant(...words, ...group);
      check(`rescale ×${factor} ${kind}`, r.code === 0, r.err);
      const f = Number(factor);
      const seen = new Set();
      for (const p of r.out?.parts ?? []) {
        if (seen.has(p.file)) continue;
        seen.add(p.file);
        const name = `${basename(p.file)} ×${factor}${kind ? " as " + kind : ""}`;
        check(`copy of ${name}`, !p.error && p.copy && existsSync(p.copy), p.error);
        if (!p.copy || !existsSync(p.copy)) continue;
        check(`verified ${name}`, p.verified === true, "not verified");
        const a = await known(p.file);
        const b = await measure(p.copy);
        check(`triangles of ${name}`, a.triangles === b.triangles, `${b.triangles} for ${a.triangles}`);
        const stands = upright(a, p.file, p.copy);
        for (let k = 0; k < 3; k++) {
          close("copied box", `${name} min ${k}`, b.min[k], stands.min[k] * f, largest(a) * f, 3e-7);
          close("copied box", `${name} max ${k}`, b.max[k], stands.max[k] * f, largest(a) * f, 3e-7);
        }
        close("copied volume", name, b.volume, a.volume * f ** 3, (largest(a) * f) ** 3, 2e-6);
        if (extname(p.copy) === ".3mf") packages.push([p.copy, { ...a, ...stands }, f]);
        if (isGLTF(p.copy)) gltfPairs.push([isGLTF(p.file) ? p.file : null, p.copy]);
      }
      check(`copies ×${factor} ${kind}`, seen.size === group.length, `${seen.size} of ${group.length} files`);
    }
  }
}

// 3. The project's own glTF vectors: those that open must be copied as clean as they were.
let tilted = 0;
if (args.vectors && existsSync(args.vectors)) {
  for (const path of list(args.vectors, ".gltf", ".glb")) {
    const want = path + ".want";
    const other = path.replace(/\.[^.]+$/, ".want");
    const text = existsSync(want) ? readFileSync(want, "utf8") : existsSync(other) ? readFileSync(other, "utf8") : "";
    if (!/^expect:\s*ok\b/m.test(text)) continue;
    const out = join(work, "vectors", basename(path));
    rmSync(out, { recursive: true, force: true });
    const r = await scant("rescale", "--factor", "0.2173913043478261", "--out", out, "--json", path);
    check(`vector ${basename(path)}`, r.code === 0 && r.out.parts[0]?.copy, r.err);
    if (r.out?.parts?.[0]?.copy) gltfPairs.push([path, r.out.parts[0].copy]);
    // Tilted as it fits a bed best, which is a node above all others. What has no surface or
    // many parts is not.
    const posed = join(work, "posed", basename(path));
    rmSync(posed, { recursive: true, force: true });
    const p = await scant("rescale", "--bed", "180x180x180", "--turn", "free", "--pose", "--verify", "--out", posed, "--json", path);
    if (p.code === 0 && p.out.parts.length === 1 && p.out.parts[0].copy) {
      check(`posed vector ${basename(path)}`, p.out.parts[0].verified, "not verified");
      gltfPairs.push([path, p.out.parts[0].copy]);
      tilted++;
    }
  }
}

if (args.vectors) check("posed vectors", tilted >= 10, `only ${tilted} were posed`);

// 4. 3MF: the vectors that three can read, and every package through lib3mf, which gives what
// its build places as STL.
async function byLib3mf(path) {
  const stl = join(work, "lib3mf.stl");
  rmSync(stl, { force: true });
  try {
    const { stdout } = await run(args.lib3mf, [path, stl]);
    const [unit, ...warnings] = stdout.trim().split("\n");
    return { ...(await measure(stl)), unit, warnings };
  } catch (e) {
    return { refused: e.stderr || String(e) };
  }
}
function same(kind, name, b, a, f) {
  check(`triangles of ${kind} ${name}`, a.triangles === b.triangles, `${b.triangles} for ${a.triangles}`);
  for (let k = 0; k < 3; k++) {
    close(kind, `${name} min ${k}`, b.min[k], a.min[k] * f, largest(a) * f, 1e-6);
    close(kind, `${name} max ${k}`, b.max[k], a.max[k] * f, largest(a) * f, 1e-6);
  }
  close(kind, `${name} volume`, b.volume, a.volume * f ** 3, (largest(a) * f) ** 3, 2e-6);
}
let byThree = 0;
let strictly = 0;
if (args.packages && existsSync(args.packages)) {
  for (const path of list(args.packages, ".3mf")) {
    if (!/^expect:\s*ok\b/m.test(readFileSync(path.replace(/3mf$/, "want"), "utf8"))) continue;
    const name = basename(path);
    const out = join(work, "packages", name);
    rmSync(out, { recursive: true, force: true });
    const r = await scant("rescale", "--factor", "0.2173913043478261", "--out", out, "--json", path);
    const copy = r.out?.parts?.[0]?.copy;
    check(`package ${name}`, r.code === 0 && copy, r.err);
    if (!copy) continue;
    const a = await measure(path).catch(() => ({ triangles: 0 })); // what three does not know
    if (a.triangles > 0) {
      same("package by three", name, await measure(copy), a, 0.2173913043478261);
      byThree++;
    }
    if (!args.lib3mf) continue;
    const [before, after] = [await byLib3mf(path), await byLib3mf(copy)];
    if (before.refused) continue;
    check(`lib3mf reads ${name}`, !after.refused, after.refused);
    if (after.refused) continue;
    check(`unit of ${name}`, before.unit === after.unit, `${after.unit} for ${before.unit}`);
    same("package by lib3mf", name, after, before, 0.2173913043478261);
    strictly++;
  }
  check("packages by three", byThree >= 25, `only ${byThree}`);
  if (args.lib3mf) check("packages by lib3mf", strictly >= 15, `only ${strictly}`);
}
if (args.lib3mf) {
  for (const [copy, a, f] of packages) {
    const name = basename(copy);
    const b = await byLib3mf(copy);
    check(`lib3mf reads ${name}`, !b.refused && b.unit === "1" && b.warnings.length === 0, b.refused ?? b.warnings.join("; "));
    if (!b.refused) same("made package by lib3mf", name, b, a, f);
  }
  check("3MF copies", packages.length >= 20, `only ${packages.length} 3MF copies were read`);
}

// 5. gltf-validator.
async function issues(path) {
  const report = await validator.validateBytes(new Uint8Array(readFileSync(path)), {
    uri: basename(path),
    maxIssues: 0,
    externalResourceFunction: async (uri) => new Uint8Array(readFileSync(join(dirname(path), decodeURIComponent(uri)))),
  });
  const counts = new Map();
  for (const m of report.issues.messages) {
    if (m.severity <= 1) counts.set(m.code, (counts.get(m.code) ?? 0) + 1); // errors and warnings
  }
  return counts;
}
let clean = 0;
for (const [source, copy] of gltfPairs) {
  const before = source ? await issues(source) : new Map();
  const after = await issues(copy);
  const fresh = [...after].filter(([code, n]) => n > (before.get(code) ?? 0));
  check(`gltf-validator ${basename(dirname(copy))}/${basename(copy)}`, fresh.length === 0, fresh.map(String).join("; "));
  if (after.size === 0) clean++;
}
check("glTF copies", gltfPairs.length >= 20, `only ${gltfPairs.length} glTF copies were validated`);

// 6. Deliberately broken files: an answer or an error for each, never a crash or a hang.
for (const path of [...list(join(models, "broken"), ".stl"), ...list(join(models, "misc"), ".stl")]) {
  const r = await scant("measure", "--json", path);
  const part = r.out?.parts?.[0];
  check(`broken ${basename(path)}`, (r.code === 0 && part && !part.error) || (r.code === 1 && part?.error && r.err.includes(basename(path))),
    `exit ${r.code} ${r.err}`);
}

// 7. What the survey says of closed parts, and of broken files.
const holed = ["deck.stl", "mast-socket.stl", "rail.stl"]; // the survey of all takes long
const shapes = sources.filter((p) => dirname(p) !== args.demo || holed.includes(basename(p)));
const surveyed = await scant("survey", "--json", ...shapes);
check("survey", surveyed.code === 0, surveyed.err);
let genera = 0;
for (const p of surveyed.out?.parts ?? []) {
  const m = await known(p.file);
  const s = solid(m.positions);
  const name = basename(p.file);
  check(`closed by the survey ${name}`, s.closed === p.closed, `manifold-3d says ${s.closed}`);
  close("surveyed area", name, p.area * m.unit ** 2, m.area, m.area, 2e-6);
  if (!s.closed) continue;
  genera++;
  close("surveyed volume", name, p.volume * m.unit ** 3, Math.abs(s.volume), span(m) ** 3, 1e-5);
  check(`genus ${name}`, p.genus === s.genus + p.shells - 1, `${p.genus} in ${p.shells} shells, manifold-3d says ${s.genus}`);
}
check("closed shapes", genera >= 8, `only ${genera}`);
for (const path of list(join(models, "broken"), ".stl")) {
  const r = await scant("survey", "--json", path);
  const part = r.out?.parts?.[0];
  check(`survey of broken ${basename(path)}`, (r.code === 0 && part?.health) || (r.code === 1 && part?.error), `exit ${r.code} ${r.err}`);
}

// 8. Figures to print: one closed solid each, as tall as was asked.
for (const [posture, stature, target] of [["standing", 1.75, "1:48"], ["seated", 1.6, "1:24"], ["reaching", 1.9, "1:72"], ["standing", 1.1, "1:12"]]) {
  const name = `figure ${posture} ${stature} m ${target}`;
  const path = join(work, `figure-${posture}-${stature}.stl`);
  const r = await scant("figure", "--stature", `${stature}m`, "--posture", posture, "--target", target, "--process", "resin", "--overwrite", "--out", path, "--json");
  check(name, r.code === 0, r.err);
  if (r.code !== 0) continue;
  const m = await known(path);
  const s = solid(m.positions);
  check(`closed ${name}`, s.closed, "manifold-3d refuses it");
  check(`triangles ${name}`, m.triangles === r.out.triangles, `three counts ${m.triangles} of ${r.out.triangles}`);
  check(`genus ${name}`, s.genus === r.out.genus, `${r.out.genus}, manifold-3d says ${s.genus}`);
  if (posture === "standing") {
    const tall = (stature * 1000) / Number(target.slice(2));
    close("figure height", name, m.max[2] - r.out.sole, tall, tall, 0.02);
  }
}

// 9. The same rays through three-mesh-bvh: the same distances. How fast each is depends on
// what else the machine does, and is only told.
if (args.rays) {
  const lines = readFileSync(join(args.rays, "list.json"), "utf8").trim().split("\n").map((l) => JSON.parse(l));
  check("rays", lines.length >= 4, `only ${lines.length} shapes`);
  console.log("\nrays on one processor");
  for (const l of lines) {
    const r = cast(args.rays, l.name);
    check(`rays through ${l.name}`, r.rays === l.rays && r.met > r.rays / 4 && r.differ === 0, `${r.met} of ${r.rays} met, ${r.differ} by one only`);
    check(`distances in ${l.name}`, r.off <= 1e-5, `off by ${r.off.toExponential(2)}`);
    worst.set("rays", Math.max(worst.get("rays") ?? 0, r.off));
    const micro = (ns) => (ns / l.rays / 1000).toFixed(2);
    console.log(`  ${l.name.padEnd(8)} ${l.triangles} triangles: ${micro(l.ns)} µs each, three-mesh-bvh ${micro(r.ns)} µs`);
  }
}

// 10. How parts fit a bed: on a disc the smallest circle, on a plate the best of very many turns,
// and every pose puts the part inside the room.
const upOf = (path) => (/\.gl(b|tf)$/i.test(path) ? "y" : "z");
const parted = list(args.demo, ".stl", ".obj", ".glb");
for (const [flags, factorOf] of [
  [["--bed", "180x180x1000000", "--round"], (outline) => 180 / diameter(outline)],
  [["--bed", "180x140x1000000", "--turn", "yaw"], (outline) => 1 / need(outline, 180, 140)],
]) {
  const r = await scant("factor", ...flags, "--json", ...parted);
  check(`bed ${flags.join(" ")}`, r.code === 0, r.err);
  let alone = 0;
  for (const path of parted) {
    const parts = r.out?.parts?.filter((p) => p.file === path) ?? [];
    if (parts.length !== 1) continue;
    alone++;
    const m = await known(path);
    const want = factorOf(footprint([...m.positions], upOf(path)));
    close(flags.includes("--round") ? "on a disc" : "turned on a plate", basename(path), parts[0].largest, want, want, 1e-9);
  }
  check("parts on a bed", alone >= 12, `only ${alone}`);
}
for (const how of ["none", "yaw", "faces", "free"]) {
  const r = await scant("factor", "--bed", "200x180x160", "--turn", how, "--json", ...parted.filter((p) => /hull|mast|rail|chair/.test(p)));
  check(`poses ${how}`, r.code === 0 && r.out.parts.length >= 4, r.err);
  for (const p of r.out?.parts ?? []) {
    const m = await known(p.file);
    const at = beyond(m.positions, r.out.factor, p.pose, [200, 180, 160]);
    check(`pose ${how} of ${p.name}`, at.most <= 1e-4 && Math.abs(at.low) <= 1e-4, `${at.most} mm beyond the room, ${at.low} mm above the plate`);
  }
}

console.log("\nlargest relative differences");
for (const [kind, off] of worst) console.log(`  ${kind.padEnd(24)} ${off.toExponential(2)}`);
console.log(`  ${gltfPairs.length} glTF copies validated, ${clean} without any error or warning`);
console.log(`  ${byThree} packages compared by three, ${args.lib3mf ? strictly + packages.length : "none"} by lib3mf`);
console.log(`outside: ${passed} passed, ${failed} failed`);
if (!args.keep) rmSync(work, { recursive: true, force: true });
process.exit(failed ? 1 : 0);
