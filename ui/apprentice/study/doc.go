// Package study is what the Apprentice page says and decides, without a window:
// the answer being given, its mark, the words about an eye and about progress.
package study
