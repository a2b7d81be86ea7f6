package geom

import "testing"

// turns are all there are: whatever is reached from none by quarter turns.
func turns() []Turn {
	all := []Turn{NoTurn()}
	seen := map[Turn]bool{NoTurn(): true}
	for i := 0; i < len(all); i++ {
		for _, a := range []Axis{X, Y, Z} {
			if t := all[i].Then(Quarter(a)); !seen[t] {
				seen[t] = true
				all = append(all, t)
			}
		}
	}
	return all
}

func TestTurns(t *testing.T) {
	all := turns()
	if len(all) != 24 {
		t.Fatalf("%d turns", len(all))
	}
	v, w := Vec{2, 3, 5}, Vec{-7, 11, 13}
	for _, a := range all {
		if got := a.Then(a.Inverse()); got != NoTurn() {
			t.Errorf("%v and back: %v", a, got)
		}
		if a.Apply(v).Cross(a.Apply(w)) != a.Apply(v.Cross(w)) {
			t.Errorf("%v mirrors", a)
		}
		for axis := X; axis <= Z; axis++ {
			var along Vec
			along[axis] = 1
			if turned := a.Apply(along); turned[a.Axis(axis)] == 0 {
				t.Errorf("%v: %v comes to lie along %v", a, axis, turned)
			}
		}
		b := a.Box(Box{Min: v.Scale(-1), Max: w.Scale(2).Add(Vec{99, 0, 0})})
		for i := range b.Min {
			if !(b.Min[i] <= b.Max[i]) {
				t.Errorf("%v: box %v", a, b)
			}
		}
		if back, err := ParseTurn(a.String()); err != nil || back != a {
			t.Errorf("%q: %v, %v", a, back, err)
		}
		for _, b := range all {
			if a.Then(b).Apply(v) != b.Apply(a.Apply(v)) {
				t.Errorf("%v then %v", a, b)
			}
		}
	}
}

func TestQuarterTurns(t *testing.T) {
	for _, c := range []struct {
		about    Axis
		from, to Vec
	}{{X, Vec{0, 1, 0}, Vec{0, 0, 1}}, {Y, Vec{0, 0, 1}, Vec{1, 0, 0}}, {Z, Vec{1, 0, 0}, Vec{0, 1, 0}}} {
		q := Quarter(c.about)
		if got := q.Apply(c.from); got != c.to {
			t.Errorf("about %v: %v", c.about, got)
		}
		if q.Then(q).Then(q).Then(q) != NoTurn() {
			t.Errorf("four quarters about %v", c.about)
		}
	}
}

func TestNoTurn(t *testing.T) {
	var none Turn
	v := Vec{1, 2, 3}
	if none.Known() || none.Apply(v) != v || none.String() != "" || none.Then(none) != none || none.Inverse() != none ||
		none.Then(Quarter(X)) != Quarter(X) || Quarter(X).Then(none) != Quarter(X) || none.Axis(Y) != Y {
		t.Error("the zero value turns")
	}
	if b := Quarter(X).Box(EmptyBox()); !b.Empty() {
		t.Errorf("an empty box became %v", b)
	}
}

func TestWhatIsNoTurn(t *testing.T) {
	for _, s := range []string{"x y", "x y z x", "x x y", "y x z", "-x y z", "x y w", "x y --z", "+x y z"} {
		if got, err := ParseTurn(s); err == nil {
			t.Errorf("%q is %v", s, got)
		}
	}
	turned := Quarter(Y)
	if err := turned.UnmarshalText([]byte("x")); err == nil || turned != Quarter(Y) {
		t.Errorf("%v, %v", turned, err)
	}
	if err := turned.UnmarshalText(nil); err != nil || turned.Known() {
		t.Errorf("%v, %v", turned, err)
	}
}
