// Loads a model with three's own loaders and measures it: box, signed volume, triangles,
// all in millimetres (three hands glTF over in metres, as the format says).
import { readFile } from "node:fs/promises";
import { dirname, extname, join } from "node:path";

globalThis.self ??= globalThis; // three's glTF loader asks for it

// three's 3MF loader reads XML as browsers do.
const { DOMParser } = await import("linkedom");
globalThis.DOMParser ??= DOMParser;

const THREE = await import("three");
const { STLLoader } = await import("three/addons/loaders/STLLoader.js");
const { OBJLoader } = await import("three/addons/loaders/OBJLoader.js");
const { ThreeMFLoader } = await import("three/addons/loaders/3MFLoader.js");
const { GLTFLoader } = await import("three/addons/loaders/GLTFLoader.js");

THREE.setConsoleFunction?.((level, ...message) => {
  if (level === "error") console.error(...message);
});

async function object(path) {
  const bytes = await readFile(path);
  switch (extname(path).toLowerCase()) {
    case ".stl": {
      const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
      return [new THREE.Mesh(new STLLoader().parse(buffer)), 1];
    }
    case ".obj":
      return [new OBJLoader().parse(bytes.toString("utf8")), 1];
    case ".3mf": { // three leaves the numbers in the unit of the file
      const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
      return [new ThreeMFLoader().parse(buffer), 1];
    }
    case ".glb":
    case ".gltf":
      return [(await new GLTFLoader().parseAsync(await alone(path, bytes), "")).scene, 1000];
    default:
      throw new Error(`${path}: no loader`);
  }
}

// alone makes a text glTF independent of its side files, and drops images and textures:
// Node has no pictures, and sizes do not need them.
async function alone(path, bytes) {
  if (extname(path).toLowerCase() === ".glb") {
    return bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
  }
  const doc = JSON.parse(bytes.toString("utf8"));
  for (const b of doc.buffers ?? []) {
    if (b.uri && !b.uri.startsWith("data:")) {
      const side = await readFile(join(dirname(path), decodeURIComponent(b.uri)));
      b.uri = "data:application/octet-stream;base64," + side.toString("base64");
    }
  }
  delete doc.images;
  delete doc.textures;
  delete doc.materials;
  for (const m of doc.meshes ?? []) for (const p of m.primitives) delete p.material;
  return JSON.stringify(doc);
}

// measure gives { min, max, volume, area, triangles, positions, unit } in millimetres. The
// positions are a soup, nine numbers a triangle.
export async function measure(path) {
  const [root, unit] = await object(path);
  root.updateMatrixWorld(true);
  const positions = [];
  const v = new THREE.Vector3();
  root.traverse((o) => {
    if (!o.isMesh) return;
    const at = o.geometry.getAttribute("position");
    const index = o.geometry.getIndex();
    const count = index ? index.count : at.count;
    const mirrored = o.matrixWorld.determinant() < 0;
    const corners = (k) => (mirrored ? [k, k + 2, k + 1] : [k, k + 1, k + 2]);
    const instances = o.isInstancedMesh ? o.count : 1;
    const place = new THREE.Matrix4();
    for (let n = 0; n < instances; n++) {
      place.copy(o.matrixWorld);
      if (o.isInstancedMesh) {
        const local = new THREE.Matrix4();
        o.getMatrixAt(n, local);
        place.multiply(local);
      }
      for (let k = 0; k + 2 < count; k += 3) {
        for (const c of corners(k)) {
          const i = index ? index.getX(c) : c;
          if (o.isSkinnedMesh) {
            o.getVertexPosition(i, v); // posed by the skeleton
            v.applyMatrix4(o.matrixWorld);
          } else {
            v.fromBufferAttribute(at, i).applyMatrix4(place);
          }
          positions.push(v.x * unit, v.y * unit, v.z * unit);
        }
      }
    }
  });
  return { ...sums(positions), positions, unit };
}

function sums(p) {
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < p.length; i++) {
    min[i % 3] = Math.min(min[i % 3], p[i]);
    max[i % 3] = Math.max(max[i % 3], p[i]);
  }
  const o = p.slice(0, 3);
  let six = 0;
  let twice = 0;
  for (let i = 0; i < p.length; i += 9) {
    const a = [p[i] - o[0], p[i + 1] - o[1], p[i + 2] - o[2]];
    const b = [p[i + 3] - o[0], p[i + 4] - o[1], p[i + 5] - o[2]];
    const c = [p[i + 6] - o[0], p[i + 7] - o[1], p[i + 8] - o[2]];
    const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const w = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
    const n = [u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]];
    six += a[0] * n[0] + a[1] * n[1] + a[2] * n[2];
    twice += Math.hypot(...n);
  }
  return { min, max, volume: six / 6, area: twice / 2, triangles: p.length / 9 };
}
