package gltf

// A plan is where lengths are.
type plan struct {
	byRoot bool
	why    string
}

func (f *File) makePlan() *plan { return &plan{} }
