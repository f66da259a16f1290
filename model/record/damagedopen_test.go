package record

import (
	"errors"
	"os"
	"strings"
	"testing"
)

// A database that is too damaged to be opened can't be checked: nobody is sent to check it.
func TestADamagedDatabaseIsNotSentToTheCheck(t *testing.T) {
	s := bench(t)
	dir := s.dir
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	db, err := os.ReadFile(s.path(databaseName))
	if err != nil {
		t.Fatal(err)
	}
	for i := 100; i < 4096; i++ { // the schema's page, behind the file's head
		db[i] = 0xa5
	}
	if err := os.WriteFile(s.path(databaseName), db, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), dir)
	if !errors.Is(err, ErrDamaged) || strings.Contains(err.Error(), "records check") || !strings.Contains(err.Error(), "Restore the last backup") {
		t.Errorf("%v, want the backup named and no check", err)
	}
}
