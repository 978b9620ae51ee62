package session

import (
	"bytes"
	"errors"
	"testing"
)

// What a power cut leaves is what was last synced: the header at once, so that a
// session can always be told apart, and whatever was appended once Sync is called.
func TestWriterSyncs(t *testing.T) {
	var file bytes.Buffer
	synced := -1 // bytes safe on the disk
	full := errors.New("no space")
	var refuse error
	w, err := NewWriter(&file, func() error {
		if refuse == nil {
			synced = file.Len()
		}
		return refuse
	}, Header{Program: "test"})
	if err != nil || synced <= 0 || synced != file.Len() {
		t.Fatalf("%d bytes of %d synced when the log began, %v", synced, file.Len(), err)
	}
	if _, err := w.Append(Entry{Kind: KindClosed}); err != nil {
		t.Fatal(err)
	}
	if err := w.Sync(); err != nil || synced != file.Len() {
		t.Errorf("%d bytes of %d synced, %v", synced, file.Len(), err)
	}
	refuse = full
	if err := w.Sync(); !errors.Is(err, full) {
		t.Errorf("a sync that fails is told as %v", err)
	}
	if _, err := NewWriter(&file, func() error { return full }, Header{}); !errors.Is(err, full) {
		t.Errorf("a log whose first sync fails begins with %v", err)
	}
}
