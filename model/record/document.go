package record

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"time"
	"unicode/utf8"

	"evenrim/model"
)

// DocumentFormat is the version of the document a reading is stored as. It goes
// up when a field changes its meaning or name; a new field leaves it.
const DocumentFormat = 1

// encodeReading returns the document of r: {"format":1,"reading":{...}} with the
// field names of model.Reading, in their order, so that equal readings have equal
// bytes.
//
// It is JSON that loses nothing: a number is the shortest that reads back to the
// same bits; NaN and the infinities, which JSON lacks, are the strings "NaN",
// "+Inf" and "-Inf"; a string that isn't UTF-8 (a file name may not be) is
// {"base64":...}; an empty list differs from none (null). Only a time loses its
// monotonic part, which means nothing in another process, and its zone's name.
func encodeReading(r *model.Reading) ([]byte, error) { return encodeDocument("reading", r) }

// encodeDocument is encodeReading for the struct v points to, under the name of kind.
func encodeDocument(kind string, v any) ([]byte, error) {
	b := fmt.Appendf(nil, `{"format":%d,%q:`, DocumentFormat, kind)
	b, err := appendValue(b, reflect.ValueOf(v).Elem())
	if err != nil {
		return nil, fmt.Errorf("record: document of a %s: %w", kind, err)
	}
	return append(b, '}'), nil
}

var timeType = reflect.TypeFor[time.Time]()

func appendValue(b []byte, v reflect.Value) ([]byte, error) {
	if v.Type() == timeType {
		t := v.Interface().(time.Time)
		text, err := t.MarshalJSON()
		if err != nil { // a zone that RFC 3339 can't say
			text, err = t.UTC().MarshalJSON()
		}
		return append(b, text...), err
	}
	switch v.Kind() {
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool()), nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return strconv.AppendInt(b, v.Int(), 10), nil
	case reflect.Float32, reflect.Float64:
		return appendFloat(b, v.Float()), nil
	case reflect.String:
		return appendString(b, v.String())
	case reflect.Pointer:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return appendValue(b, v.Elem())
	case reflect.Slice:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return appendList(b, v)
	case reflect.Array:
		return appendList(b, v)
	case reflect.Struct:
		b = append(b, '{')
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if !f.IsExported() {
				return nil, fmt.Errorf("%v has the private field %s, which would be lost", v.Type(), f.Name)
			}
			if i > 0 {
				b = append(b, ',')
			}
			b = append(strconv.AppendQuote(b, f.Name), ':')
			var err error
			if b, err = appendValue(b, v.Field(i)); err != nil {
				return nil, fmt.Errorf("%s: %w", f.Name, err)
			}
		}
		return append(b, '}'), nil
	}
	return nil, fmt.Errorf("no way to store a %v", v.Type())
}

func appendList(b []byte, v reflect.Value) ([]byte, error) {
	b = append(b, '[')
	for i := range v.Len() {
		if i > 0 {
			b = append(b, ',')
		}
		var err error
		if b, err = appendValue(b, v.Index(i)); err != nil {
			return nil, err
		}
	}
	return append(b, ']'), nil
}

func appendFloat(b []byte, f float64) []byte {
	switch {
	case math.IsNaN(f):
		return append(b, `"NaN"`...)
	case math.IsInf(f, 1):
		return append(b, `"+Inf"`...)
	case math.IsInf(f, -1):
		return append(b, `"-Inf"`...)
	}
	return strconv.AppendFloat(b, f, 'g', -1, 64)
}

func appendString(b []byte, s string) ([]byte, error) {
	if !utf8.ValidString(s) {
		b = append(b, `{"base64":"`...)
		b = base64.StdEncoding.AppendEncode(b, []byte(s))
		return append(b, `"}`...), nil
	}
	text, err := json.Marshal(s)
	return append(b, text...), err
}

// decodeReading is the inverse of encodeReading. A field that this program
// doesn't know is an error wrapping ErrNewer: dropping it would show another
// reading than the one that was kept. A field that the document lacks, because
// it was written before the field existed, stays zero.
func decodeReading(doc []byte) (*model.Reading, error) {
	r := new(model.Reading)
	if err := decodeDocument(doc, "reading", r); err != nil {
		return nil, err
	}
	return r, nil
}

// decodeDocument is the inverse of encodeDocument.
func decodeDocument(doc []byte, kind string, v any) error {
	d := json.NewDecoder(bytes.NewReader(doc))
	d.UseNumber()
	var top map[string]any
	if err := d.Decode(&top); err != nil {
		return fmt.Errorf("record: document of a %s: %w: %w", kind, ErrDamaged, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("record: document of a %s: %w: it goes on after its end", kind, ErrDamaged)
	}
	format, err := topFormat(top["format"])
	if err != nil {
		return fmt.Errorf("record: document of a %s: %w", kind, err)
	}
	if format > DocumentFormat {
		return fmt.Errorf("record: document of format %d: %w", format, ErrNewer)
	}
	tree, ok := top[kind].(map[string]any)
	if !ok {
		return fmt.Errorf("record: document of a %s: %w: it holds none", kind, ErrDamaged)
	}
	if err := setValue(reflect.ValueOf(v).Elem(), tree); err != nil {
		return fmt.Errorf("record: document of a %s: %w", kind, err)
	}
	return nil
}

func topFormat(v any) (int64, error) {
	n, ok := v.(json.Number)
	if !ok {
		return 0, fmt.Errorf("%w: no format number", ErrDamaged)
	}
	format, err := n.Int64()
	if err != nil || format < 1 {
		return 0, fmt.Errorf("%w: format %s", ErrDamaged, n)
	}
	return format, nil
}

func setValue(v reflect.Value, in any) error {
	wrong := func() error { return fmt.Errorf("%w: %T where a %v belongs", ErrDamaged, in, v.Type()) }
	if v.Type() == timeType {
		s, ok := in.(string)
		if !ok {
			return wrong()
		}
		t, err := time.Parse(time.RFC3339Nano, s)
		if err != nil {
			return fmt.Errorf("%w: time %q", ErrDamaged, s)
		}
		v.Set(reflect.ValueOf(t))
		return nil
	}
	switch v.Kind() {
	case reflect.Bool:
		x, ok := in.(bool)
		if !ok {
			return wrong()
		}
		v.SetBool(x)
		return nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		n, ok := in.(json.Number)
		if !ok {
			return wrong()
		}
		x, err := n.Int64()
		if err != nil || v.OverflowInt(x) {
			return wrong()
		}
		v.SetInt(x)
		return nil
	case reflect.Float32, reflect.Float64:
		x, err := floatOf(in)
		if err != nil {
			return err
		}
		v.SetFloat(x)
		return nil
	case reflect.String:
		s, err := stringOf(in)
		if err != nil {
			return err
		}
		v.SetString(s)
		return nil
	case reflect.Pointer:
		if in == nil {
			return nil
		}
		p := reflect.New(v.Type().Elem())
		v.Set(p)
		return setValue(p.Elem(), in)
	case reflect.Slice, reflect.Array:
		return setList(v, in)
	case reflect.Struct:
		m, ok := in.(map[string]any)
		if !ok {
			return wrong()
		}
		for name, x := range m {
			f, ok := v.Type().FieldByName(name)
			if !ok || !f.IsExported() {
				return fmt.Errorf("%w: field %q", ErrNewer, name)
			}
			if err := setValue(v.FieldByIndex(f.Index), x); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
		return nil
	}
	return wrong()
}

func setList(v reflect.Value, in any) error {
	if in == nil && v.Kind() == reflect.Slice {
		return nil
	}
	list, ok := in.([]any)
	if !ok || v.Kind() == reflect.Array && len(list) != v.Len() {
		return fmt.Errorf("%w: %T where a list belongs", ErrDamaged, in)
	}
	if v.Kind() == reflect.Slice {
		v.Set(reflect.MakeSlice(v.Type(), len(list), len(list)))
	}
	for i, x := range list {
		if err := setValue(v.Index(i), x); err != nil {
			return err
		}
	}
	return nil
}

func floatOf(in any) (float64, error) {
	switch x := in.(type) {
	case json.Number:
		f, err := strconv.ParseFloat(string(x), 64)
		if err != nil {
			return 0, fmt.Errorf("%w: number %s", ErrDamaged, x)
		}
		return f, nil
	case string:
		switch x {
		case "NaN":
			return math.NaN(), nil
		case "+Inf":
			return math.Inf(1), nil
		case "-Inf":
			return math.Inf(-1), nil
		}
	}
	return 0, fmt.Errorf("%w: %T where a number belongs", ErrDamaged, in)
}

func stringOf(in any) (string, error) {
	switch x := in.(type) {
	case string:
		return x, nil
	case map[string]any:
		if s, ok := x["base64"].(string); ok && len(x) == 1 {
			if b, err := base64.StdEncoding.DecodeString(s); err == nil {
				return string(b), nil
			}
		}
	}
	return "", fmt.Errorf("%w: %T where a text belongs", ErrDamaged, in)
}
