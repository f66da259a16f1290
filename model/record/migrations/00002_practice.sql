-- +goose Up
-- What a person did in practice. Unlike a reading it belongs to that person and
-- goes when they ask for it.
CREATE TABLE practice (
  n      INTEGER PRIMARY KEY,
  person TEXT NOT NULL COLLATE NOCASE CHECK (person <> ''),
  at     INTEGER NOT NULL,
  kind   TEXT NOT NULL CHECK (kind <> ''),
  body   TEXT NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX practice_person ON practice (person, n);
