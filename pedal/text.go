package pedal

import "fmt"

// MarshalText returns the letter's name, so that it reads "F" in JSON.
func (l Letter) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (l *Letter) UnmarshalText(text []byte) error {
	parsed, ok := ParseLetter(string(text))
	if !ok {
		return fmt.Errorf("%q is no letter of a pedal", text)
	}
	*l = parsed
	return nil
}

// MarshalText returns the foot's name, so that it reads "right" in JSON.
func (f Foot) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (f *Foot) UnmarshalText(text []byte) error {
	for _, foot := range []Foot{Left, Right} {
		if foot.String() == string(text) {
			*f = foot
			return nil
		}
	}
	return fmt.Errorf("%q is no foot", text)
}

// MarshalText returns the setting in foot order, so that it reads
// "D C B♭ | E♭ F G A♭" in JSON.
func (s Setting) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a setting as ParseSetting does.
func (s *Setting) UnmarshalText(text []byte) (err error) {
	*s, err = ParseSetting(string(text))
	return err
}
