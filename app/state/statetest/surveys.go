package statetest

import "sync"

// Surveys keep what was found out about parts in memory, for as many benches as use them: the
// same few boxes are surveyed once for all tests of a package.
type Surveys struct{ kept sync.Map }

// Load gives what was saved under a key.
func (s *Surveys) Load(key string) ([]byte, bool) {
	data, ok := s.kept.Load(key)
	if !ok {
		return nil, false
	}
	return data.([]byte), true
}

// Save keeps data under a key.
func (s *Surveys) Save(key string, data []byte) { s.kept.Store(key, data) }
