package gltf

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"scantling/engine/geom"
	"scantling/engine/mesh"
	"scantling/formats/internal/fault"
)

// build reads the triangles of a part. Vertices are relative to where its node stands, so
// that one far from the origin loses nothing; those of skins and instances, which stand
// elsewhere, to the origin.
func (s *store) build(ctx context.Context, place *partPlace) (*mesh.Mesh, error) {
	n := &s.f.doc.nodes[place.node]
	b := builder{store: s, ctx: ctx, node: n, world: s.f.worlds[place.node], bases: map[int]uint32{}}
	var err error
	if b.moves, err = s.instances(ctx, n); err != nil {
		return nil, err
	}
	if n.skin >= 0 {
		if b.joints, err = s.joints(ctx, n.skin); err != nil {
			return nil, err
		}
	}
	b.triangles = make([][3]uint32, 0, place.triangles)
	primitives := s.f.doc.meshes[n.mesh].primitives
	for i := range primitives {
		p := &primitives[i]
		if p.mode < modeTriangles || p.position < 0 || s.f.doc.triangles(p) == 0 {
			continue
		}
		if err := b.add(p); err != nil {
			return nil, err
		}
	}
	m, err := mesh.New("", b.origin, b.vertices, b.triangles)
	switch {
	case errors.Is(err, mesh.ErrNotFinite):
		return nil, s.f.fault(fault.BadNumber, n.v, "moved so that coordinates are not finite numbers")
	case err != nil:
		return nil, s.f.fault(fault.BadIndex, n.v, err.Error())
	}
	return m, nil
}

// A builder gathers one part.
type builder struct {
	*store
	ctx       context.Context
	node      *node
	world     affine
	moves     []affine // of the instances; nil for the one that is the node's
	joints    []affine // nil where there is no skin
	origin    geom.Vec
	vertices  [][3]float32
	triangles [][3]uint32
	bases     map[int]uint32 // first vertex of a POSITION accessor that is used as it is
}

// add adds the triangles of one primitive, once for each instance.
func (b *builder) add(p *primitive) error {
	corners, err := b.corners(p)
	if err != nil {
		return err
	}
	base := uint32(len(b.vertices))
	if b.joints != nil && len(p.joints) > 0 {
		flip, err := b.addSkinned(p)
		if err == nil {
			b.addTriangles(p, corners, base, flip)
		}
		return err
	}
	plain := b.moves == nil && b.joints == nil && len(p.targets) == 0
	if known, ok := b.bases[p.position]; ok && plain {
		b.addTriangles(p, corners, known, b.world.mirrors())
		return nil
	}
	local, err := b.local(p)
	if err != nil {
		return err
	}
	if plain {
		b.bases[p.position] = base
	}
	pose := b.world
	if b.moves == nil {
		if b.joints == nil {
			b.origin, pose[3] = pose[3], geom.Vec{}
		}
		b.addVertices(local, pose)
		b.addTriangles(p, corners, base, pose.mirrors())
		return nil
	}
	for _, move := range b.moves {
		if err := b.ctx.Err(); err != nil {
			return err
		}
		base, pose = uint32(len(b.vertices)), b.world.times(move)
		b.addVertices(local, pose)
		b.addTriangles(p, corners, base, pose.mirrors())
	}
	return nil
}

// corners are the vertices of a primitive in the order in which they make triangles; nil
// for all as they come.
func (b *builder) corners(p *primitive) ([]uint32, error) {
	if p.indices < 0 {
		return nil, nil
	}
	list, err := b.indices(b.ctx, p.indices)
	if err != nil {
		return nil, err
	}
	count := uint32(b.f.doc.accessors[p.position].count)
	for i, k := range list {
		if k >= count {
			return nil, b.f.fault(fault.BadIndex, b.f.doc.accessors[p.indices].v, fmt.Sprintf("element %d is vertex %d of %d", i, k, count))
		}
	}
	return list, nil
}

// addTriangles adds those of one primitive over the vertices from base on.
func (b *builder) addTriangles(p *primitive, corners []uint32, base uint32, flip bool) {
	corner := func(i int64) uint32 {
		if corners == nil {
			return base + uint32(i)
		}
		return base + corners[i]
	}
	for i := range b.f.doc.triangles(p) {
		var t [3]uint32
		switch p.mode {
		case modeTriangles:
			t = [3]uint32{corner(3 * i), corner(3*i + 1), corner(3*i + 2)}
		case modeStrip:
			t = [3]uint32{corner(i), corner(i + 1 + i%2), corner(i + 2 - i%2)}
		case modeFan:
			t = [3]uint32{corner(i + 1), corner(i + 2), corner(0)}
		}
		if flip {
			t[1], t[2] = t[2], t[1]
		}
		b.triangles = append(b.triangles, t)
	}
}

// addVertices adds vertices in a pose.
func (b *builder) addVertices(local []float32, pose affine) {
	b.vertices = slices.Grow(b.vertices, len(local)/3)
	if pose == identity() {
		for i := 0; i < len(local); i += 3 {
			b.vertices = append(b.vertices, [3]float32(local[i:]))
		}
		return
	}
	for i := 0; i < len(local); i += 3 {
		v := pose.apply(geom.Vec{float64(local[i]), float64(local[i+1]), float64(local[i+2])})
		b.vertices = append(b.vertices, [3]float32{float32(v[0]), float32(v[1]), float32(v[2])})
	}
}

// local are the coordinates of a primitive's vertices in its mesh, three a vertex, with the
// morph targets added at the weights in which the file is drawn.
func (b *builder) local(p *primitive) ([]float32, error) {
	local, err := b.numbers(b.ctx, p.position, 3)
	if err != nil {
		return nil, err
	}
	weights := b.node.weights
	if weights == nil {
		weights = b.f.doc.meshes[b.node.mesh].weights
	}
	for i, target := range p.targets {
		if target < 0 || i >= len(weights) || weights[i] == 0 {
			continue
		}
		move, err := b.numbers(b.ctx, target, 3)
		if err != nil {
			return nil, err
		}
		if len(move) != len(local) {
			return nil, b.f.fault(fault.BadRange, p.v, fmt.Sprintf("morph target %d has %d vertices instead of %d", i, len(move)/3, len(local)/3))
		}
		for k := range local {
			local[k] = float32(float64(local[k]) + float64(weights[i]*float64(move[k])))
		}
	}
	return local, nil
}

// addSkinned adds vertices that follow joints, where those stand now. The node's own place
// does not count (glTF 2.0, 3.7.3.3). It says whether all joints turn triangles inside out.
func (b *builder) addSkinned(p *primitive) (flip bool, err error) {
	local, err := b.local(p)
	if err != nil {
		return false, err
	}
	at := len(b.vertices)
	posed := make([]geom.Vec, len(local)/3)
	total := make([]float64, len(local)/3)
	flip = true
	for set := range p.joints {
		joints, err := b.numbers(b.ctx, p.joints[set], 4)
		if err != nil {
			return false, err
		}
		weights, err := b.numbers(b.ctx, p.weights[set], 4)
		if err != nil {
			return false, err
		}
		if len(joints) < 4*len(posed) || len(weights) < 4*len(posed) {
			return false, b.f.fault(fault.BadRange, p.v, "fewer joints or weights than vertices")
		}
		for i := range posed {
			v := geom.Vec{float64(local[3*i]), float64(local[3*i+1]), float64(local[3*i+2])}
			for k := 4 * i; k < 4*i+4; k++ {
				j := int(joints[k])
				if j < 0 || j >= len(b.joints) {
					return false, b.f.fault(fault.BadIndex, b.f.doc.accessors[p.joints[set]].v,
						fmt.Sprintf("vertex %d follows joint %d of %d", i, j, len(b.joints)))
				}
				if w := float64(weights[k]); w != 0 {
					posed[i] = posed[i].Add(b.joints[j].apply(v).Scale(w))
					total[i] += w
					flip = flip && b.joints[j].mirrors()
				}
			}
		}
	}
	b.vertices = append(b.vertices, make([][3]float32, len(posed))...)
	for i, v := range posed {
		if total[i] == 0 { // follows nothing: the first joint has it
			flip = flip && b.joints[0].mirrors()
			v = b.joints[0].apply(geom.Vec{float64(local[3*i]), float64(local[3*i+1]), float64(local[3*i+2])})
		} else {
			v = v.Scale(1 / total[i])
		}
		b.vertices[at+i] = [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
	}
	return flip, nil
}

// joints are the transforms that the joints of a skin give to its vertices.
func (s *store) joints(ctx context.Context, i int) ([]affine, error) {
	k := &s.f.doc.skins[i]
	poses := make([]affine, len(k.joints))
	for j, n := range k.joints {
		poses[j] = s.f.worlds[n]
	}
	if len(poses) == 0 {
		return nil, s.f.fault(fault.Syntax, s.f.doc.json.root().get("skins").items()[i], "has no joints")
	}
	if k.inverse < 0 {
		return poses, nil
	}
	list, err := s.numbers(ctx, k.inverse, 16)
	if err != nil {
		return nil, err
	}
	if len(list) < 16*len(poses) {
		return nil, s.f.fault(fault.BadRange, s.f.doc.accessors[k.inverse].v, fmt.Sprintf("%d matrices for %d joints", len(list)/16, len(poses)))
	}
	for j := range poses {
		var m [16]float64
		for c := range m {
			m[c] = float64(list[16*j+c])
		}
		poses[j] = poses[j].times(affineOf(m))
	}
	return poses, nil
}

// instances are the transforms of a node's instances (EXT_mesh_gpu_instancing), nil where
// it has none.
func (s *store) instances(ctx context.Context, n *node) ([]affine, error) {
	if !n.instanced {
		return nil, nil
	}
	var lists [3][]float32
	for i, dims := range []int{3, 4, 3} {
		if n.instances[i] < 0 {
			continue
		}
		var err error
		if lists[i], err = s.numbers(ctx, n.instances[i], dims); err != nil {
			return nil, err
		}
	}
	moves := make([]affine, n.instanceSize)
	for k := range moves {
		t, q, size := [3]float64{}, [4]float64{0, 0, 0, 1}, [3]float64{1, 1, 1}
		for i, to := range [][]float64{t[:], q[:], size[:]} {
			if lists[i] != nil {
				for c := range to {
					to[c] = float64(lists[i][k*len(to)+c])
				}
			}
		}
		moves[k] = compose(t, q, size)
	}
	return moves, nil
}
