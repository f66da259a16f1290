package main

import (
	"errors"
	"io"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// dragSource is a window of another program from which files are dragged, as a file
// manager has it. It speaks XDND (freedesktop.org, "Drag-and-Drop Protocol for the X
// Window System", version 5; from memory).
type dragSource struct {
	t      testing.TB
	x      *xgb.Conn
	atoms  map[string]xproto.Atom
	window xproto.Window
	target xproto.Window
	files  string // as text/uri-list
}

// dropFiles drags files onto the program's window on s and lets go there. It returns
// once the window has said that it has them.
func dropFiles(s *onScreen, paths ...string) {
	s.t.Helper()
	xgb.Logger.SetOutput(io.Discard) // it says that a screen without a password has none
	x, err := xgb.NewConnDisplay(s.display)
	if err != nil {
		s.t.Fatal(err)
	}
	defer x.Close()
	d := &dragSource{t: s.t, x: x, atoms: map[string]xproto.Atom{}}
	for _, p := range paths {
		d.files += (&url.URL{Scheme: "file", Path: p}).String() + "\r\n"
	}
	root := xproto.Setup(x).DefaultScreen(x)
	if d.window, err = xproto.NewWindowId(x); err != nil {
		s.t.Fatal(err)
	}
	xproto.CreateWindow(x, root.RootDepth, d.window, root.Root, 0, 0, 1, 1, 0, xproto.WindowClassInputOutput, root.RootVisual, 0, nil)
	xproto.SetSelectionOwner(x, d.window, d.atom("XdndSelection"), xproto.TimeCurrentTime)
	if d.target = d.taker(root.Root); d.target == 0 {
		s.t.Fatal("no window on the screen takes a drop")
	}
	const version = 5
	me := uint32(d.window)
	d.tell("XdndEnter", me, version<<24, uint32(d.atom("text/uri-list")))
	d.tell("XdndPosition", me, 0, 600<<16|400, xproto.TimeCurrentTime, uint32(d.atom("XdndActionCopy")))
	if d.answer("XdndStatus")[1]&1 == 0 {
		s.t.Fatal("the window does not want what is dragged over it")
	}
	d.tell("XdndDrop", me, 0, xproto.TimeCurrentTime)
	d.answer("XdndFinished")
}

func (d *dragSource) atom(name string) xproto.Atom {
	d.t.Helper()
	if a, ok := d.atoms[name]; ok {
		return a
	}
	r, err := xproto.InternAtom(d.x, false, uint16(len(name)), name).Reply()
	if err != nil {
		d.t.Fatal(err)
	}
	d.atoms[name] = r.Atom
	return r.Atom
}

// taker is the first window below w that says it takes drops.
func (d *dragSource) taker(w xproto.Window) xproto.Window {
	p, err := xproto.GetProperty(d.x, false, w, d.atom("XdndAware"), xproto.GetPropertyTypeAny, 0, 1).Reply()
	if err == nil && p.ValueLen > 0 {
		return w
	}
	tree, err := xproto.QueryTree(d.x, w).Reply()
	if err != nil {
		return 0
	}
	for _, c := range tree.Children {
		if found := d.taker(c); found != 0 {
			return found
		}
	}
	return 0
}

func (d *dragSource) tell(kind string, data ...uint32) {
	for len(data) < 5 {
		data = append(data, 0)
	}
	e := xproto.ClientMessageEvent{Format: 32, Window: d.target, Type: d.atom(kind), Data: xproto.ClientMessageDataUnionData32New(data)}
	xproto.SendEvent(d.x, false, d.target, xproto.EventMaskNoEvent, string(e.Bytes()))
}

// answer waits for a message from the target and hands over the files meanwhile.
func (d *dragSource) answer(kind string) []uint32 {
	d.t.Helper()
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		event, xerr := d.x.PollForEvent()
		if xerr != nil {
			d.t.Fatal(errors.New(xerr.Error()))
		}
		switch e := event.(type) {
		case xproto.ClientMessageEvent:
			if e.Type == d.atom(kind) {
				return e.Data.Data32
			}
		case xproto.SelectionRequestEvent:
			d.handOver(e)
		}
	}
	d.t.Fatalf("the window does not answer with %s", kind)
	return nil
}

func (d *dragSource) handOver(r xproto.SelectionRequestEvent) {
	if r.Target != d.atom("text/uri-list") {
		d.t.Fatalf("asked for the files in another form than offered: atom %d", r.Target)
	}
	data := []byte(strings.TrimSuffix(d.files, "\r\n"))
	xproto.ChangeProperty(d.x, xproto.PropModeReplace, r.Requestor, r.Property, r.Target, 8, uint32(len(data)), data)
	e := xproto.SelectionNotifyEvent{Time: r.Time, Requestor: r.Requestor, Selection: r.Selection, Target: r.Target, Property: r.Property}
	xproto.SendEvent(d.x, false, r.Requestor, xproto.EventMaskNoEvent, string(e.Bytes()))
}
