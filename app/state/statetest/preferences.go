package statetest

// Preferences are settings in memory. Those of a zero value are all empty.
type Preferences struct{ kept map[string]string }

// NewPreferences begins with some settings: key, value, key, value.
func NewPreferences(pairs ...string) *Preferences {
	p := &Preferences{}
	for i := 0; i+1 < len(pairs); i += 2 {
		p.SetString(pairs[i], pairs[i+1])
	}
	return p
}

// String is the value of a key, or "".
func (p *Preferences) String(key string) string { return p.kept[key] }

// SetString keeps a value.
func (p *Preferences) SetString(key, value string) {
	if p.kept == nil {
		p.kept = map[string]string{}
	}
	p.kept[key] = value
}
