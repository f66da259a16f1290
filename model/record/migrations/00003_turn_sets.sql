-- +goose Up
-- What the photos of one hole say together, the part turned between them: a reading
-- made of readings. The columns repeat what the document says.
CREATE TABLE turn_set (
  n          INTEGER PRIMARY KEY,
  key        TEXT NOT NULL UNIQUE CHECK (length(key) = 64), -- SHA-256 of the document
  kept_at    INTEGER NOT NULL,
  made_at    INTEGER NOT NULL,
  version    TEXT NOT NULL,
  job        TEXT NOT NULL,
  dx_mm      REAL, dy_mm REAL,
  cov_xx_mm2 REAL, cov_xy_mm2 REAL, cov_yy_mm2 REAL,
  u95_mm     REAL,
  verdict    TEXT NOT NULL, p_within REAL,
  format     INTEGER NOT NULL,
  body       BLOB NOT NULL -- gzip of the JSON document
) STRICT;

-- The readings that a set was joined from, in the order of the turn.
CREATE TABLE turn_member (
  n     INTEGER NOT NULL REFERENCES turn_set (n),
  place INTEGER NOT NULL CHECK (place >= 1),
  seq   INTEGER NOT NULL REFERENCES reading (seq),
  PRIMARY KEY (n, place),
  UNIQUE (n, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX turn_member_seq ON turn_member (seq);

-- +goose StatementBegin
CREATE TRIGGER turn_set_no_update BEFORE UPDATE ON turn_set BEGIN SELECT raise(ABORT, 'a turn set is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER turn_set_no_delete BEFORE DELETE ON turn_set BEGIN SELECT raise(ABORT, 'a turn set is never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER turn_set_no_replace BEFORE INSERT ON turn_set WHEN EXISTS (SELECT 1 FROM turn_set WHERE n = NEW.n OR key = NEW.key)
  BEGIN SELECT raise(ABORT, 'a turn set is never replaced in place'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER turn_member_no_update BEFORE UPDATE ON turn_member BEGIN SELECT raise(ABORT, 'a turn set is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER turn_member_no_delete BEFORE DELETE ON turn_member BEGIN SELECT raise(ABORT, 'a turn set is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER turn_member_no_replace BEFORE INSERT ON turn_member
  WHEN EXISTS (SELECT 1 FROM turn_member WHERE n = NEW.n AND (place = NEW.place OR seq = NEW.seq))
  BEGIN SELECT raise(ABORT, 'a turn set is never changed'); END;
-- +goose StatementEnd
