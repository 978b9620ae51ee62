package riff

import (
	"encoding/binary"
	"math"
)

// MaxSize is the largest size that a RIFF header can state: all ones is taken
// by RF64 and by files whose size is not known.
const MaxSize = math.MaxUint32 - 1

// longSize is the size of the body of a ds64 chunk without a table.
const longSize = 28

// AppendHead appends the beginning of a RIFF file: size is that of all behind
// its first eight bytes.
func AppendHead(b []byte, size uint32) []byte {
	return append(binary.LittleEndian.AppendUint32(append(b, "RIFF"...), size), "WAVE"...)
}

// AppendLargeHead appends the beginning of an RF64 file with its ds64 chunk: the
// size of all behind its first eight bytes, the bytes of its sound, its frames.
func AppendLargeHead(b []byte, size, data, frames int64) []byte {
	le := binary.LittleEndian
	b = append(le.AppendUint32(append(b, "RF64"...), UnknownSize), "WAVE"...)
	b = AppendChunkHead(b, "ds64", longSize)
	b = le.AppendUint64(le.AppendUint64(b, uint64(size)), uint64(data))
	return le.AppendUint32(le.AppendUint64(b, uint64(frames)), 0)
}

// AppendJunk appends a chunk that holds the place of a ds64 chunk.
func AppendJunk(b []byte) []byte {
	return append(AppendChunkHead(b, "JUNK", longSize), make([]byte, longSize)...)
}

// AppendChunkHead appends what stands before the body of a chunk.
func AppendChunkHead(b []byte, id string, size uint32) []byte {
	return binary.LittleEndian.AppendUint32(append(b, id...), size)
}

// AppendChunk appends a whole chunk, padded to an even size.
func AppendChunk(b []byte, id string, body []byte) []byte {
	b = append(AppendChunkHead(b, id, uint32(len(body))), body...)
	return append(b, make([]byte, len(body)%2)...)
}
