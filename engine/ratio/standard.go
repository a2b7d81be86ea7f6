package ratio

// A Status says how well a published value is backed.
type Status string

// The three kinds of backing.
const (
	Seen           Status = "seen"            // read at its source or at a copy of it
	Memory         Status = "memory"          // from general knowledge, not read
	CommonPractice Status = "common practice" // a habit of makers, no document
	Computed       Status = "computed"        // arithmetic on exact definitions
)

// A Standard is one standard ratio of one field.
type Standard struct {
	Ratio  Ratio
	Name   string // "H0", "quarter inch to the foot"; empty where the ratio is its own name
	Field  Field
	Source string // document and clause, or what the practice is
	Status Status
}
