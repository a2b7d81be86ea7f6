// Asks manifold-3d whether a triangle soup is a closed oriented solid, and for its volume.
import Module from "manifold-3d";

const wasm = await Module();
wasm.setup();

// solid welds equal corners exactly and hands the mesh over. It gives { closed, volume,
// genus }; closed is false where manifold-3d refuses the mesh.
export function solid(positions) {
  const seen = new Map();
  const vertProperties = [];
  const triVerts = [];
  for (let i = 0; i < positions.length; i += 3) {
    // manifold-3d computes in float32: weld what is equal there.
    const p = [positions[i], positions[i + 1], positions[i + 2]].map((x) => Math.fround(x) + 0);
    const key = p.join(",");
    let at = seen.get(key);
    if (at === undefined) {
      at = seen.size;
      seen.set(key, at);
      vertProperties.push(...p);
    }
    triVerts.push(at);
  }
  const kept = [];
  for (let i = 0; i < triVerts.length; i += 3) {
    const [a, b, c] = triVerts.slice(i, i + 3);
    if (a !== b && b !== c && c !== a) kept.push(a, b, c);
  }
  try {
    const mesh = new wasm.Mesh({
      numProp: 3,
      vertProperties: Float32Array.from(vertProperties),
      triVerts: Uint32Array.from(kept),
    });
    const body = new wasm.Manifold(mesh);
    const r = { closed: body.status() === "NoError", volume: body.volume(), genus: body.genus() };
    body.delete();
    return r;
  } catch {
    return { closed: false, volume: NaN, genus: NaN };
  }
}
