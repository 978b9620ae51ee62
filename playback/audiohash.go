package playback

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"math"

	"github.com/faiface/beep"
)

// HashFile returns the SHA-256 of all bytes of r, in lower-case hex. progress,
// if not nil, is told from time to time how many bytes are done.
func HashFile(ctx context.Context, r io.Reader, progress func(done int64)) (string, error) {
	h := sha256.New()
	if err := hashBytes(ctx, h, r, progress); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func hashBytes(ctx context.Context, h hash.Hash, r io.Reader, progress func(int64)) error {
	buf := make([]byte, 1<<18)
	for done := int64(0); ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := r.Read(buf)
		h.Write(buf[:n])
		done += int64(n)
		if progress != nil && n > 0 {
			progress(done)
		}
		if err == io.EOF {
			return nil
		} else if err != nil {
			return fmt.Errorf("reading the soundtrack: %w", err)
		}
	}
}

// HashAudio returns a SHA-256, in lower-case hex, of the music in s without
// the tags around it: files that hash alike sound alike, frame for frame.
//
// For WAV and FLAC it is taken over the frames, rounded to 24 bits, so that
// both forms of a master of up to 24 bits hash alike, whatever the sample size
// they are stored in; a mono file hashes as a stereo file of two equal channels.
// For MP3 and Ogg Vorbis it is taken over the encoded music: decoders of these
// round differently from one kind of machine to another, the file does not. For
// what another program decodes it is taken over the file, tags and all.
// The sample rate and the length in frames go into either.
//
// s must have been opened for this call alone: where it then stands is not
// defined. progress, if not nil, is told how much of total is done.
func HashAudio(ctx context.Context, s *Soundtrack, progress func(done, total int64)) (string, error) {
	if progress == nil {
		progress = func(done, total int64) {}
	}
	h := sha256.New()
	var err error
	switch d := s.decoder.(type) {
	case mp3File:
		i := d.Reader.Info()
		hashStart(h, "mp3", s)
		if _, err = s.file.Seek(i.AudioStart, io.SeekStart); err != nil {
			return "", fmt.Errorf("reading the soundtrack: %w", err)
		}
		size := i.AudioEnd - i.AudioStart
		err = hashBytes(ctx, h, io.LimitReader(s.file, size), func(done int64) { progress(done, size) })
	case *vorbisFile:
		hashStart(h, "vorbis", s)
		err = d.hashPackets(ctx, h, progress)
	case throughFile:
		hashStart(h, "file", s)
		if _, err = s.file.Seek(0, io.SeekStart); err != nil {
			return "", fmt.Errorf("reading the soundtrack: %w", err)
		}
		err = hashBytes(ctx, h, s.file, func(done int64) { progress(done, done) })
	default:
		hashStart(h, "pcm", s)
		err = hashFrames(ctx, h, s, progress)
	}
	if err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// hashStart puts in what the frames or packets do not say themselves.
func hashStart(h hash.Hash, kind string, s *Soundtrack) {
	fmt.Fprintf(h, "drylane audio 1 %s %d Hz %d frames\n", kind, s.Rate(), s.Len())
}

// hashFrames puts in every frame as two little-endian 32-bit integers, of which
// 1<<23 is full scale.
func hashFrames(ctx context.Context, h hash.Hash, s beep.StreamSeeker, progress func(done, total int64)) error {
	if err := s.Seek(0); err != nil {
		return err
	}
	frames := make([][2]float64, 4096)
	var buf []byte
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, ok := s.Stream(frames)
		buf = buf[:0]
		for _, f := range frames[:n] {
			for _, v := range f {
				buf = binary.LittleEndian.AppendUint32(buf, uint32(quantise24(v)))
			}
		}
		h.Write(buf)
		progress(int64(s.Position()), int64(s.Len()))
		if !ok {
			return s.Err()
		}
	}
}

func quantise24(v float64) int32 {
	return int32(max(math.MinInt32, min(math.Round(v*(1<<23)), math.MaxInt32)))
}

// hashPackets puts in the packets that the sound is made of, each behind its
// length: a program that changes tags moves them to other pages.
func (v *vorbisFile) hashPackets(ctx context.Context, h hash.Hash, progress func(done, total int64)) error {
	put := func(packet []byte) {
		var size [4]byte
		binary.LittleEndian.PutUint32(size[:], uint32(len(packet)))
		h.Write(size[:])
		h.Write(packet)
	}
	put(v.setup)
	var partial []byte
	for at := v.audioAt; ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		p, err := v.src.find(at, v.src.end)
		if err == errNoPage {
			return nil
		} else if err != nil {
			return fmt.Errorf("reading the soundtrack: %w", err)
		}
		partial = v.audioPackets(&p, partial, put)
		at = p.end
		progress(at, v.src.end)
	}
}
