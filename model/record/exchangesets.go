package record

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"slices"
)

// setLinesName is the exchange zip's file of turn sets; one without turn sets, or of a
// program that knew none, has no such file.
const setLinesName = "turnsets.jsonl"

// exchangeSet is one turn set: a line of turnsets.jsonl. Its readings are in the
// document, by their keys.
type exchangeSet struct {
	Key      string          `json:"key"`
	Document json.RawMessage `json:"document"`
}

// writeSets writes the turn sets all of whose readings go out.
func (s *Store) writeSets(ctx context.Context, z zipWriter, going []ID) error {
	sets, err := s.setEntries(ctx, `ORDER BY t.n`)
	if err != nil {
		return err
	}
	var w io.Writer
	for _, e := range sets {
		if slices.ContainsFunc(e.Members, func(m ID) bool { _, ok := slices.BinarySearch(going, m); return !ok }) {
			continue
		}
		doc, err := s.setBytes(ctx, e)
		if err != nil {
			return err
		}
		line, err := json.Marshal(exchangeSet{Key: e.Key, Document: doc})
		if err != nil {
			return err
		}
		if w == nil {
			if w, err = z.CreateHeader(&zip.FileHeader{Name: setLinesName, Method: zip.Deflate}); err != nil {
				return err
			}
		}
		if _, err := w.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// importSets adds the turn sets of an exchange zip that aren't here yet.
func (s *Store) importSets(ctx context.Context, z *zipReader, res *ImportResult) error {
	if z.files[setLinesName] == nil {
		return nil
	}
	lines, err := z.open(setLinesName)
	if err != nil {
		return err
	}
	defer lines.Close()
	in := bufio.NewReaderSize(lines, 1<<20)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		line, end := readLine(in)
		if end != nil && end != io.EOF {
			return end
		}
		if len(bytes.TrimSpace(line)) > 0 {
			if err := s.importSet(ctx, line, res); err != nil {
				if stop := kindOf(err); stop == ErrDiskFull || stop == ErrReadOnly || stop == ErrBusy || ctx.Err() != nil || z.left < 0 {
					return err
				}
				res.Notes = append(res.Notes, "A turn set was left out: "+sentenceOf(err))
			}
		}
		if end == io.EOF {
			return nil
		}
	}
}

func (s *Store) importSet(ctx context.Context, data []byte, res *ImportResult) error {
	var line exchangeSet
	if err := json.Unmarshal(data, &line); err != nil {
		return problem(ErrDamaged, err, "It is not in JSON.")
	}
	if keyOf(line.Document) != line.Key {
		return problem(ErrDamaged, nil, "It does not match its key: it was changed after it was exported.")
	}
	var d setDocument
	switch err := decodeDocument(line.Document, setKind, &d); {
	case errors.Is(err, ErrNewer):
		return problem(ErrNewer, err, "It was made by a newer version of Evenrim: install that one to import it.")
	case err != nil || len(d.Members) < 2 || len(d.Members) != len(d.Joined.Set.Turns):
		return problem(ErrDamaged, err, "It is damaged.")
	}
	var members []ID
	for _, key := range d.Members {
		id, err := idOf(ctx, s.read, `key = ?`, key)
		if err == nil && id == 0 {
			err = refuse("One of its readings is neither in the file nor here.")
		}
		if err == nil && slices.Contains(members, id) {
			err = problem(ErrDamaged, nil, "It has a reading twice.")
		}
		if err != nil {
			return err
		}
		members = append(members, id)
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		_, added, err := s.insertSet(ctx, tx, line.Document, &d.Joined, members)
		if added {
			res.Sets++
		}
		return err
	})
}
