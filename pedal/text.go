package pedal

// MarshalText returns the letter's name, so that it reads "F" in JSON.
func (l Letter) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// MarshalText returns the foot's name, so that it reads "right" in JSON.
func (f Foot) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// MarshalText returns the setting in foot order, so that it reads
// "D C B♭ | E♭ F G A♭" in JSON.
func (s Setting) MarshalText() ([]byte, error) { return []byte(s.String()), nil }
