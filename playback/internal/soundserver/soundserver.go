// Package soundserver opens sessions with the user's PulseAudio or PipeWire server,
// to play and to record.
package soundserver

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"drylane/playback/internal/plainfile"

	"github.com/jfreymuth/pulse/proto"
)

// requestTimeout is how long the server may take to answer before it counts
// as gone.
const requestTimeout = 700 * time.Millisecond

// A serverAddress is one place to look for a sound server.
type serverAddress struct{ network, address string }

// serverAddresses reads a server string: blank-separated places, each a socket
// path or unix:, tcp:, tcp4: or tcp6: and an address, optionally with the host
// name that it is meant for in braces before. An empty string means
// PULSE_SERVER, or else the user's own server.
func serverAddresses(server string) []serverAddress {
	if server == "" {
		server = os.Getenv("PULSE_SERVER")
	}
	if server == "" {
		return userServers()
	}
	host, _ := os.Hostname()
	var found []serverAddress
	for _, s := range strings.Fields(server) {
		if name, rest, ok := strings.Cut(s, "}"); ok && strings.HasPrefix(name, "{") {
			if name[1:] != host {
				continue
			}
			s = rest
		}
		if strings.HasPrefix(s, "/") {
			s = "unix:" + s
		}
		network, address, ok := strings.Cut(s, ":")
		switch network {
		case "unix", "tcp", "tcp4", "tcp6":
		default:
			network, address = "tcp", s
		}
		if !ok || address == "" {
			address = s
		}
		if _, _, err := net.SplitHostPort(address); network != "unix" && err != nil {
			address = net.JoinHostPort(strings.Trim(address, "[]"), "4713")
			if _, _, err := net.SplitHostPort(address); err != nil {
				continue
			}
		}
		found = append(found, serverAddress{network, address})
	}
	return found
}

func userServers() []serverAddress {
	dirs := []string{os.Getenv("XDG_RUNTIME_DIR"), fmt.Sprintf("/run/user/%d", os.Getuid())}
	if dirs[0] == dirs[1] || dirs[0] == "" {
		dirs = dirs[1:]
	}
	var found []serverAddress
	for _, d := range dirs {
		found = append(found, serverAddress{"unix", filepath.Join(d, "pulse", "native")})
	}
	return found
}

// Connect opens a session with the first server that takes us, under the name that a
// mixer shows. wrap makes of the connection what the client writes to and reads from.
// From then on onEvent gets what the server reports, on a goroutine that it must not
// block.
func Connect(server, appName string, wrap func(net.Conn) io.ReadWriteCloser, onEvent func(any)) (*proto.Client, io.ReadWriteCloser, error) {
	var errs []error
	for _, a := range serverAddresses(server) {
		conn, err := net.DialTimeout(a.network, a.address, requestTimeout)
		if err != nil {
			errs = append(errs, unreached(a, err))
			continue
		}
		w := wrap(conn)
		client := &proto.Client{Callback: onEvent}
		client.SetTimeout(requestTimeout)
		client.Open(w)
		if err := introduce(client, appName); err != nil {
			conn.Close()
			errs = append(errs, fmt.Errorf("the one at %s: %w", a.address, err))
			continue
		}
		return client, w, nil
	}
	if len(errs) == 0 {
		return nil, nil, fmt.Errorf("no sound server is named by %q", server)
	}
	return nil, nil, noneAnswers(errs)
}

// unreached says why there is no connection with an address.
func unreached(a serverAddress, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("none is at %s", a.address)
	}
	return err
}

// noneAnswers says in one line why no server takes us.
func noneAnswers(errs []error) error {
	err := fmt.Errorf("no sound server (PulseAudio or PipeWire) answers: %w", errs[0])
	for _, e := range errs[1:] {
		err = fmt.Errorf("%w; %w", err, e)
	}
	return err
}

// Name is what people call the server of a package name.
func Name(pack string) string {
	if len(pack) > 0 && pack != "pulseaudio" {
		return "PipeWire"
	}
	return "PulseAudio"
}

// Printable drops what does not belong in a name on a terminal.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, s)
}

// introduce logs in with the user's cookie; a server on a private socket takes
// us without.
func introduce(client *proto.Client, appName string) error {
	reply := proto.AuthReply{}
	if err := client.Request(&proto.Auth{Version: client.Version(), Cookie: cookie()}, &reply); err != nil {
		return err
	}
	client.SetVersion(reply.Version)
	const oldest = 23 // tells where an underrun was
	if v := client.Version().Version(); v < oldest {
		return fmt.Errorf("it speaks protocol version %d, at least %d is needed", v, oldest)
	}
	props := proto.PropList{
		"application.name":       proto.PropListString(appName[:min(len(appName), 100)]),
		"application.process.id": proto.PropListString(fmt.Sprint(os.Getpid())),
	}
	return client.Request(&proto.SetClientName{Props: props}, &proto.SetClientNameReply{})
}

func cookie() []byte {
	path := os.Getenv("PULSE_COOKIE")
	if path == "" {
		config, err := os.UserConfigDir()
		if err != nil {
			return make([]byte, 256)
		}
		path = filepath.Join(config, "pulse", "cookie")
	}
	none := make([]byte, 256)
	f, err := plainfile.Open(path)
	if err != nil {
		return none
	}
	defer f.Close()
	c, err := io.ReadAll(io.LimitReader(f, 257))
	if err != nil || len(c) != 256 {
		return none
	}
	return c
}
