-- +goose Up
-- A table's figures give way to the whole reading that they are of, also where that one
-- corrects another reading and so cannot name them as what it replaces.
-- +goose StatementBegin
CREATE TRIGGER reading_whole AFTER INSERT ON reading WHEN NEW.source = 'photo' BEGIN
  UPDATE finder SET replaced_by = NEW.seq
    WHERE replaced_by IS NULL AND seq IN (SELECT seq FROM reading WHERE origin_key = NEW.key AND seq < NEW.seq);
END;
-- +goose StatementEnd
UPDATE finder SET replaced_by = (SELECT w.seq FROM reading r JOIN reading w ON w.key = r.origin_key WHERE r.seq = finder.seq AND w.source = 'photo' AND w.seq > r.seq)
  WHERE replaced_by IS NULL AND seq IN (SELECT r.seq FROM reading r JOIN reading w ON w.key = r.origin_key WHERE w.source = 'photo' AND w.seq > r.seq);
