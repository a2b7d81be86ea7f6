package judge

import "errors"

// A Turning says how freely a part may be turned to fit a bed. Each allows what those
// before it allow.
type Turning uint8

// How a part may be turned.
const (
	AsItLies Turning = iota // not at all
	Yaw                     // about the vertical
	Faces                   // laid on a flat side that it can stand on, and about the vertical
	Free                    // tilted in any way
)

// ErrTurning is what ParseTurning refuses with.
var ErrTurning = errors.New("is not a way to turn: none, yaw, faces or free")

// String is "none", "yaw", "faces" or "free".
func (t Turning) String() string {
	if t > Free {
		return "?"
	}
	return [...]string{"none", "yaw", "faces", "free"}[t]
}

// ParseTurning reads what String writes.
func ParseTurning(name string) (Turning, error) {
	for t := AsItLies; t <= Free; t++ {
		if name == t.String() {
			return t, nil
		}
	}
	return AsItLies, ErrTurning
}

// MarshalText is String; the error is ErrTurning for what is none of the four.
func (t Turning) MarshalText() ([]byte, error) {
	if t > Free {
		return nil, ErrTurning
	}
	return []byte(t.String()), nil
}

// UnmarshalText takes what ParseTurning takes.
func (t *Turning) UnmarshalText(text []byte) error {
	parsed, err := ParseTurning(string(text))
	if err == nil {
		*t = parsed
	}
	return err
}
