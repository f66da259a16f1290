package record

import (
	"bytes"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// sameBits compares floats by their bits, so that NaN equals itself and -0 isn't 0.
var sameBits = cmp.Comparer(func(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) || a != a && b != b })

func TestDocumentRoundTrip(t *testing.T) {
	for name, r := range map[string]*model.Reading{"full": sampleReading(1, nil), "zero": {}} {
		t.Run(name, func(t *testing.T) {
			doc, err := encodeReading(r)
			if err != nil {
				t.Fatal(err)
			}
			got, err := decodeReading(doc)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(r, got, sameBits); d != "" {
				t.Errorf("decode(encode(r)) (-want +got):\n%s", d)
			}
		})
	}
}

// The property holds for any value of every field that model.Reading has or will
// get: fill draws by reflection.
func TestDocumentRoundTripOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := new(model.Reading)
		fill(t, reflect.ValueOf(r).Elem())
		doc, err := encodeReading(r)
		if err != nil {
			t.Fatal(err)
		}
		got, err := decodeReading(doc)
		if err != nil {
			t.Fatalf("%v\n%s", err, doc)
		}
		if d := cmp.Diff(r, got, sameBits); d != "" {
			t.Fatalf("decode(encode(r)) (-want +got):\n%s", d)
		}
		again, err := encodeReading(got)
		if err != nil || !bytes.Equal(doc, again) {
			t.Fatalf("a second encoding differs (err %v):\n%s\n%s", err, doc, again)
		}
	})
}

func fill(t *rapid.T, v reflect.Value) {
	if v.Type() == timeType {
		sec := rapid.Int64Range(-62135596800+86400, 253402300799-86400).Draw(t, "sec")
		zone := time.FixedZone("", 60*rapid.IntRange(-14*60, 14*60).Draw(t, "zone"))
		v.Set(reflect.ValueOf(time.Unix(sec, rapid.Int64Range(0, 999999999).Draw(t, "ns")).In(zone)))
		return
	}
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "bool"))
	case reflect.Int:
		v.SetInt(rapid.Int64().Draw(t, "int"))
	case reflect.Float64:
		if rapid.IntRange(0, 9).Draw(t, "odd") == 0 {
			v.SetFloat(rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), math.Copysign(0, -1)}).Draw(t, "float"))
		} else {
			v.SetFloat(rapid.Float64().Draw(t, "float"))
		}
	case reflect.String:
		if rapid.IntRange(0, 9).Draw(t, "odd") == 0 {
			v.SetString(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")))
		} else {
			v.SetString(rapid.String().Draw(t, "string"))
		}
	case reflect.Pointer:
		if rapid.Bool().Draw(t, "present") {
			v.Set(reflect.New(v.Type().Elem()))
			fill(t, v.Elem())
		}
	case reflect.Slice:
		if n := rapid.IntRange(-1, 3).Draw(t, "len"); n >= 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
			for i := range n {
				fill(t, v.Index(i))
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(t, v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			fill(t, v.Field(i))
		}
	default:
		t.Fatalf("model.Reading has a %v: teach document.go to store it", v.Type())
	}
}

// A document kept by an earlier program must stay readable: this one was written
// by the first. It may be rewritten (-update) as long as no version with it has
// been released; after that, add another beside it and teach decodeReading the
// old names.
func TestDocumentOfFormat1StaysReadable(t *testing.T) {
	path := filepath.Join("testdata", "document-1.json")
	want := sampleReading(42, nil)
	if *update {
		doc, err := encodeReading(want)
		if err == nil {
			err = os.WriteFile(path, doc, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	doc, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got, err := decodeReading(doc)
	if err != nil {
		t.Fatalf("a field of model.Reading was renamed or removed (see the comment on this test): %v", err)
	}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Errorf("document-1.json (-want +got):\n%s", d)
	}
}

func TestDocumentRefusesWhatItWouldChange(t *testing.T) {
	good, err := encodeReading(&model.Reading{})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, doc string
		want      error
	}{
		{"newer format", strings.Replace(string(good), `"format":1`, `"format":2`, 1), ErrNewer},
		{"unknown field", strings.Replace(string(good), `"Photo":`, `"Colour":1,"Photo":`, 1), ErrNewer},
		{"unknown field in a list's item", strings.Replace(string(good), `"Budget":null`, `"Budget":[{"Hue":1}]`, 1), ErrNewer},
		{"text for a number", strings.Replace(string(good), `"U95MM":0`, `"U95MM":"small"`, 1), ErrDamaged},
		{"null for a number", strings.Replace(string(good), `"U95MM":0`, `"U95MM":null`, 1), ErrDamaged},
		{"number out of range", strings.Replace(string(good), `"U95MM":0`, `"U95MM":1e999`, 1), ErrDamaged},
		{"broken time", strings.Replace(string(good), `"MadeAt":"0001`, `"MadeAt":"x001`, 1), ErrDamaged},
		{"cut off", string(good[:len(good)/2]), ErrDamaged},
		{"trailing", string(good) + "{}", ErrDamaged},
		{"empty", "", ErrDamaged},
		{"no reading", `{"format":1}`, ErrDamaged},
		{"no format", `{"reading":{}}`, ErrDamaged},
		{"a list", `[]`, ErrDamaged},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.doc == string(good) {
				t.Fatal("the test changed nothing")
			}
			if r, err := decodeReading([]byte(tt.doc)); !errors.Is(err, tt.want) || r != nil {
				t.Errorf("decodeReading = %v, %v, want error %v", r, err, tt.want)
			}
		})
	}
}

func FuzzDecodeReading(f *testing.F) {
	doc, err := encodeReading(sampleReading(3, nil))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(doc)
	f.Add([]byte(`{"format":1,"reading":{}}`))
	f.Add([]byte(`{"format":1,"reading":{"Photo":{"Name":{"base64":"/w=="}},"Exit":null,"U95MM":"NaN"}}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		r, err := decodeReading(in)
		if err != nil {
			return
		}
		doc, err := encodeReading(r)
		if err != nil {
			t.Fatal(err)
		}
		got, err := decodeReading(doc)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(r, got, sameBits); d != "" {
			t.Fatal(d)
		}
	})
}
