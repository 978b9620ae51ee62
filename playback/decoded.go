package playback

import "sync/atomic"

// decoded counts the frames that were decoded from files.
var decoded atomic.Int64

// Decoded returns how many frames of music this process has decoded, of all files
// together: what was kept from an earlier time adds nothing.
func Decoded() int64 { return decoded.Load() }
