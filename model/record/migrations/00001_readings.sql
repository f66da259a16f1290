-- +goose Up
-- A migration must begin with a statement that fails if it has been run before.

-- A photo whose file is whole on the disk.
CREATE TABLE photo (
  sha256  TEXT PRIMARY KEY CHECK (length(sha256) = 64),
  bytes   INTEGER NOT NULL,
  kept_at INTEGER NOT NULL -- microseconds since 1970, as all times here
) STRICT, WITHOUT ROWID;

-- The columns repeat what the document says, for search and lists. NULL stands
-- for a number that isn't one.
CREATE TABLE reading (
  seq           INTEGER PRIMARY KEY,
  key           TEXT NOT NULL UNIQUE CHECK (length(key) = 64), -- SHA-256 of the document
  source        TEXT NOT NULL CHECK (source IN ('photo', 'table')),
  origin_key    TEXT,             -- a 'table' row's key in the record it came from
  kept_at       INTEGER NOT NULL,
  made_at       INTEGER NOT NULL,
  version       TEXT NOT NULL,
  photo_name    TEXT NOT NULL,
  photo_sha256  TEXT REFERENCES photo (sha256),
  job           TEXT NOT NULL,
  bore_mm       REAL, tolerance_mm REAL,
  dx_mm         REAL, dy_mm REAL,
  cov_xx_mm2    REAL, cov_xy_mm2 REAL, cov_yy_mm2 REAL,
  u95_mm        REAL, width_mm REAL, width_u_mm REAL, px_per_mm REAL,
  verdict       TEXT NOT NULL, p_within REAL,
  replaces      INTEGER UNIQUE REFERENCES reading (seq),
  who           TEXT, why TEXT,
  CHECK ((source = 'photo') = (photo_sha256 IS NOT NULL)),
  CHECK ((replaces IS NULL) = (why IS NULL) AND (replaces IS NULL) = (who IS NULL)),
  CHECK (replaces < seq)
) STRICT;
CREATE INDEX reading_photo ON reading (photo_sha256);
CREATE INDEX reading_origin ON reading (origin_key) WHERE origin_key IS NOT NULL;

-- The big documents, out of the way of every search.
CREATE TABLE document (
  seq    INTEGER PRIMARY KEY REFERENCES reading (seq),
  format INTEGER NOT NULL,
  body   BLOB NOT NULL -- gzip of the JSON document
) STRICT;

-- What was written about a reading; the last row of a reading counts.
CREATE TABLE label (
  n         INTEGER PRIMARY KEY,
  seq       INTEGER NOT NULL REFERENCES reading (seq),
  at        INTEGER NOT NULL,
  who       TEXT NOT NULL,
  part      TEXT NOT NULL, hole TEXT NOT NULL, batch TEXT NOT NULL,
  hole_x_mm REAL, hole_y_mm REAL, turn_rad REAL,
  note      TEXT NOT NULL, operator TEXT NOT NULL, machine TEXT NOT NULL,
  tags      TEXT NOT NULL CHECK (json_type(tags) = 'array')
) STRICT;
CREATE INDEX label_seq ON label (seq);

-- From here on derived data, kept by the triggers below.
CREATE TABLE finder (
  seq         INTEGER PRIMARY KEY REFERENCES reading (seq),
  label       INTEGER NOT NULL REFERENCES label (n),
  made_at     INTEGER NOT NULL,
  verdict     TEXT NOT NULL,
  job         TEXT NOT NULL COLLATE NOCASE,
  part        TEXT NOT NULL COLLATE NOCASE,
  batch       TEXT NOT NULL COLLATE NOCASE,
  operator    TEXT NOT NULL COLLATE NOCASE,
  machine     TEXT NOT NULL COLLATE NOCASE,
  replaced_by INTEGER
) STRICT;
CREATE INDEX finder_made_at ON finder (made_at);
CREATE INDEX finder_job ON finder (job);
CREATE INDEX finder_part ON finder (part);
CREATE INDEX finder_batch ON finder (batch);
CREATE INDEX finder_operator ON finder (operator);
CREATE INDEX finder_machine ON finder (machine);
CREATE INDEX finder_verdict ON finder (verdict);

CREATE TABLE tagged (
  tag TEXT NOT NULL COLLATE NOCASE,
  seq INTEGER NOT NULL REFERENCES reading (seq),
  PRIMARY KEY (tag, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX tagged_seq ON tagged (seq);

-- What words are searched: the text a person may type words of, and for each
-- name one word that stands for the whole of it, so that a search for a name and
-- a word meets them in one index. The letter in front is one nobody types.
CREATE VIEW wording AS
  SELECT r.seq AS seq,
    concat_ws(char(10), r.job, l.part, l.hole, l.batch, l.note, l.operator, l.machine,
      (SELECT group_concat(value, ' ') FROM json_each(l.tags)), r.photo_name, r.why) AS text,
    concat_ws(' ', 'ϙjob' || hex(lower(r.job)), 'ϙpart' || hex(lower(l.part)), 'ϙbatch' || hex(lower(l.batch)),
      'ϙoperator' || hex(lower(l.operator)), 'ϙmachine' || hex(lower(l.machine)), 'ϙverdict' || hex(lower(r.verdict)),
      (SELECT group_concat('ϙtag' || hex(lower(value)), ' ') FROM json_each(l.tags))) AS keys
  FROM reading r JOIN label l ON l.n = (SELECT max(n) FROM label WHERE seq = r.seq);

CREATE VIRTUAL TABLE words USING fts5 (text, keys, tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3');

-- +goose StatementBegin
CREATE TRIGGER label_found AFTER INSERT ON label BEGIN
  INSERT INTO finder (seq, label, made_at, verdict, job, part, batch, operator, machine)
    SELECT r.seq, NEW.n, r.made_at, r.verdict, r.job, NEW.part, NEW.batch, NEW.operator, NEW.machine
    FROM reading r WHERE r.seq = NEW.seq
    ON CONFLICT (seq) DO UPDATE SET label = excluded.label, part = excluded.part, batch = excluded.batch,
      operator = excluded.operator, machine = excluded.machine;
  DELETE FROM tagged WHERE seq = NEW.seq;
  INSERT OR IGNORE INTO tagged (tag, seq) SELECT value, NEW.seq FROM json_each(NEW.tags);
  DELETE FROM words WHERE rowid = NEW.seq;
  INSERT INTO words (rowid, text, keys) SELECT seq, text, keys FROM wording WHERE seq = NEW.seq;
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER reading_replaced AFTER INSERT ON reading WHEN NEW.replaces IS NOT NULL BEGIN
  UPDATE finder SET replaced_by = NEW.seq WHERE seq = NEW.replaces;
END;
-- +goose StatementEnd

-- Nothing above the derived tables is ever changed. The insert triggers are
-- there for INSERT OR REPLACE, which deletes without asking the delete triggers.
-- +goose StatementBegin
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT raise(ABORT, 'a reading is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading BEGIN SELECT raise(ABORT, 'a reading is never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER reading_no_replace BEFORE INSERT ON reading
  WHEN EXISTS (SELECT 1 FROM reading WHERE seq = NEW.seq OR key = NEW.key OR replaces = NEW.replaces)
  BEGIN SELECT raise(ABORT, 'a reading is never replaced in place'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER document_no_update BEFORE UPDATE ON document BEGIN SELECT raise(ABORT, 'a reading is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER document_no_delete BEFORE DELETE ON document BEGIN SELECT raise(ABORT, 'a reading is never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER document_no_replace BEFORE INSERT ON document WHEN EXISTS (SELECT 1 FROM document WHERE seq = NEW.seq)
  BEGIN SELECT raise(ABORT, 'a reading is never replaced in place'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo BEGIN SELECT raise(ABORT, 'a photo is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo BEGIN SELECT raise(ABORT, 'a photo is never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER label_no_update BEFORE UPDATE ON label BEGIN SELECT raise(ABORT, 'labels are only added'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER label_no_delete BEFORE DELETE ON label BEGIN SELECT raise(ABORT, 'labels are only added'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER label_no_replace BEFORE INSERT ON label WHEN EXISTS (SELECT 1 FROM label WHERE n = NEW.n)
  BEGIN SELECT raise(ABORT, 'labels are only added'); END;
-- +goose StatementEnd

PRAGMA application_id = 0x45767269; -- "Evri"
