// Package record is the shop's memory: it keeps readings and their photos in one
// data folder and finds them again.
//
// # What holds
//
//   - A reading is never changed or deleted: triggers in the database refuse both.
//     A correction is a new reading that points to the old one and says who made
//     it, when and why.
//   - What a shop writes about a reading (part, hole, batch, note, tags) is a list
//     of [Labels] that only grows; the last one counts.
//   - A photo is kept once, under the SHA-256 of its bytes, and is whole on the
//     disk before the row that names it is written. A reading whose row is there
//     has its photo.
//   - [Store.Keep] returns after the row is on the disk. A program killed before
//     leaves the reading out, whole; one killed after leaves it in, whole.
//   - What a turn set says together is kept as a reading made of readings
//     ([Store.KeepTurnSet]): it names them, and is never changed or deleted either.
//   - Order is the order of keeping ([ID]), not the clock, which may go backwards.
//   - Several programs may use one data folder at a time.
//
// # Data folder
//
//	record.db            SQLite database (application id "Evri"), mode 0600
//	record.db-wal, -shm  SQLite's own, while a program has the record open
//	record.lock          held for a moment while the folder is opened
//	photos/ab/abcd...    photos by SHA-256, mode 0600
//
// A reading is stored as a JSON document (see document.go) beside the few columns
// that are searched; the document is what counts. The exchange formats are
// described in EXCHANGE.md beside this file.
//
// # Long tests
//
// EVENRIM_LONG=1 go test ./model/record kills a program 200 times rather than
// ten, and holds the search times at 100,000 readings; it takes some ten minutes.
package record
