package output

import (
	"encoding/binary"
	"math"
	"net"
	"sync"
	"time"
)

// A wire is a connection in PulseAudio's native protocol that can also write
// into the middle of a playback stream's queue: the client library sends data
// only to its end. Packets of the library and our own take turns whole.
//
// A packet is a descriptor of five 32-bit words (payload length, channel,
// offset in two, flags) and its payload. The low byte of the flags of a data
// packet says what the offset counts from.
type wire struct {
	net.Conn
	mu     sync.Mutex
	part   []byte // what the library has written of its current packet
	held   []byte // packets that wait for release
	batch  bool
	packet chan struct{} // a packet of the library's has been held
}

func newWire(c net.Conn) *wire { return &wire{Conn: c, packet: make(chan struct{}, 8)} }

const (
	descriptorLen = 20
	seekAbsolute  = 1 // the offset counts from the start of the stream

	// writeTimeout bounds how long a server that reads nothing can hold us up.
	writeTimeout = 500 * time.Millisecond
)

// Write takes bytes of the library's packets and passes each on when it is
// complete.
func (w *wire) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.part = append(w.part, p...)
	for len(w.part) >= descriptorLen {
		size := descriptorLen + int(binary.BigEndian.Uint32(w.part))
		if len(w.part) < size {
			break
		}
		if err := w.send(w.part[:size]); err != nil {
			return 0, err
		}
		w.part = w.part[:copy(w.part, w.part[size:])]
		if w.batch {
			w.packet <- struct{}{}
		}
	}
	return len(p), nil
}

// hold makes packets wait for release, so that the server gets them in one.
// Each of the library's sends a token on w.packet.
func (w *wire) hold() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.batch = true
}

// release sends what has been held.
func (w *wire) release() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.batch = false
	err := w.send(w.held)
	w.held = w.held[:0]
	return err
}

// data puts frames into a stream's queue at frame at of the stream.
func (w *wire) data(stream uint32, at int64, frames [][2]float32) error {
	packet := make([]byte, descriptorLen, descriptorLen+len(frames)*frameBytes)
	binary.BigEndian.PutUint32(packet, uint32(len(frames)*frameBytes))
	binary.BigEndian.PutUint32(packet[4:], stream)
	binary.BigEndian.PutUint64(packet[8:], uint64(at*frameBytes))
	packet[19] = seekAbsolute
	for _, f := range frames {
		packet = binary.LittleEndian.AppendUint32(packet, math.Float32bits(f[0]))
		packet = binary.LittleEndian.AppendUint32(packet, math.Float32bits(f[1]))
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.send(packet)
}

// send passes packets on, or holds them.
func (w *wire) send(packets []byte) error {
	if w.batch {
		w.held = append(w.held, packets...)
		return nil
	}
	if err := w.SetWriteDeadline(time.Now().Add(writeTimeout)); err != nil {
		return err
	}
	_, err := w.Conn.Write(packets)
	return err
}
