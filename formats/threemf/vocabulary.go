package threemf

// A space is a namespace.
type space uint8

const (
	otherSpace space = iota
	coreSpace
	setsSpace
	materialSpace
	productionSpace
	alternativeSpace
	sliceSpace
	beamSpace
	ballSpace
)

// spaceOf is the namespace of a URI. Those known here stand in their specifications: core
// 1.4.0 with triangle sets, materials and properties, production 1.1 with alternatives,
// slice 1.0.2, beam lattice 1.2.0 with balls. All lengths of these are known, and what is
// printed is what their triangles say. Boolean operations, displacement and volumes print
// another shape than the mesh, so they stay unknown: a model that requires them is refused.
func spaceOf(uri string) space {
	switch uri {
	case coreURI:
		return coreSpace
	case "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07":
		return setsSpace
	case "http://schemas.microsoft.com/3dmanufacturing/material/2015/02":
		return materialSpace
	case "http://schemas.microsoft.com/3dmanufacturing/production/2015/06":
		return productionSpace
	case "http://schemas.microsoft.com/3dmanufacturing/production/alternatives/2021/04":
		return alternativeSpace
	case "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07":
		return sliceSpace
	case "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02":
		return beamSpace
	case "http://schemas.microsoft.com/3dmanufacturing/beamlattice/balls/2020/07":
		return ballSpace
	}
	return otherSpace
}

const (
	coreURI         = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	modelRelation   = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
	relationsURI    = "http://schemas.openxmlformats.org/package/2006/relationships"
	contentTypesURI = "http://schemas.openxmlformats.org/package/2006/content-types"
	relationsType   = "application/vnd.openxmlformats-package.relationships+xml"
	modelType       = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
	originRelation  = "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"
)

// A kind is an element that matters here.
type kind uint8

const (
	otherKind kind = iota
	modelElement
	metadataElement
	groupElement
	resourcesElement
	objectElement
	meshElement
	verticesElement
	vertexElement
	trianglesElement
	triangleElement
	componentsElement
	componentElement
	buildElement
	itemElement
	alternativesElement
	alternativeElement
	stackElement
	sliceElement
	slicePointsElement
	slicePointElement
	sliceRefElement
	latticeElement
	beamsElement
	beamElement
	ballsElement
	ballElement
	kinds
)

// parents is where each kind stands; elsewhere it means nothing. Metadata also stand in
// metadata groups.
var parents = [kinds]kind{
	metadataElement:     modelElement,
	resourcesElement:    modelElement,
	objectElement:       resourcesElement,
	groupElement:        objectElement,
	meshElement:         objectElement,
	verticesElement:     meshElement,
	vertexElement:       verticesElement,
	trianglesElement:    meshElement,
	triangleElement:     trianglesElement,
	componentsElement:   objectElement,
	componentElement:    componentsElement,
	buildElement:        modelElement,
	itemElement:         buildElement,
	alternativesElement: objectElement,
	alternativeElement:  alternativesElement,
	stackElement:        resourcesElement,
	sliceElement:        stackElement,
	slicePointsElement:  sliceElement,
	slicePointElement:   slicePointsElement,
	sliceRefElement:     stackElement,
	latticeElement:      meshElement,
	beamsElement:        latticeElement,
	beamElement:         beamsElement,
	ballsElement:        latticeElement,
	ballElement:         ballsElement,
}

// kindIn is the kind of an element by its namespace and local name.
func kindIn(in space, name string) kind {
	switch in {
	case coreSpace:
		switch name {
		case "vertex":
			return vertexElement
		case "triangle":
			return triangleElement
		case "vertices":
			return verticesElement
		case "triangles":
			return trianglesElement
		case "model":
			return modelElement
		case "metadata":
			return metadataElement
		case "metadatagroup":
			return groupElement
		case "resources":
			return resourcesElement
		case "object":
			return objectElement
		case "mesh":
			return meshElement
		case "components":
			return componentsElement
		case "component":
			return componentElement
		case "build":
			return buildElement
		case "item":
			return itemElement
		}
	case alternativeSpace:
		switch name {
		case "alternatives":
			return alternativesElement
		case "alternative":
			return alternativeElement
		}
	case sliceSpace:
		switch name {
		case "slicestack":
			return stackElement
		case "slice":
			return sliceElement
		case "vertices":
			return slicePointsElement
		case "vertex":
			return slicePointElement
		case "sliceref":
			return sliceRefElement
		}
	case beamSpace:
		switch name {
		case "beamlattice":
			return latticeElement
		case "beams":
			return beamsElement
		case "beam":
			return beamElement
		}
	case ballSpace:
		switch name {
		case "balls":
			return ballsElement
		case "ball":
			return ballElement
		}
	}
	return otherKind
}

// isLength reports whether an attribute of an element is a length; in is the namespace of
// its prefix, otherSpace where it has none:
//
//	vertex x y z                      core 1.4.0, section 4.1.3.1
//	slicestack zbottom, slice ztop,
//	vertex x y of a slice             slice 1.0.2, chapters 2 and 3
//	beamlattice minlength radius      beam lattice 1.2.0, section 2.1
//	  and ballradius of the balls     the same, with the prefix of the balls (appendix A.2)
//	beam r1 r2                        beam lattice 1.2.0, section 2.1.1.1
//	ball r                            beam lattice 1.2.0, section 2.1.2.1
//
// The translation in the transforms of components and items is a length too (core, sections
// 3.3, 3.4.3.1 and 4.2.1). Materials, triangle sets and production have none: their
// coordinates are those of pictures.
func (k kind) isLength(in space, name string) bool {
	if in != otherSpace {
		return k == latticeElement && in == ballSpace && name == "ballradius"
	}
	switch k {
	case vertexElement:
		return name == "x" || name == "y" || name == "z"
	case slicePointElement:
		return name == "x" || name == "y"
	case stackElement:
		return name == "zbottom"
	case sliceElement:
		return name == "ztop"
	case latticeElement:
		return name == "minlength" || name == "radius"
	case beamElement:
		return name == "r1" || name == "r2"
	case ballElement:
		return name == "r"
	}
	return false
}

// hasLengths reports whether isLength can be true.
func (k kind) hasLengths() bool {
	switch k {
	case vertexElement, slicePointElement, stackElement, sliceElement, latticeElement, beamElement, ballElement:
		return true
	}
	return false
}
