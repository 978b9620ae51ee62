package soundserver

import (
	"fmt"
	"strings"

	"github.com/jfreymuth/pulse/proto"
)

// FindSink returns the server's device that plays of that name, as choose says; the
// default device when name is empty.
func FindSink(client *proto.Client, name string) (*proto.GetSinkInfoReply, error) {
	if name == "" {
		sink := new(proto.GetSinkInfoReply)
		err := client.Request(&proto.GetSinkInfo{SinkIndex: proto.Undefined, SinkName: "@DEFAULT_SINK@"}, sink)
		if err != nil {
			return nil, fmt.Errorf("the sound server has no device to play on: %w", err)
		}
		return sink, nil
	}
	var list proto.GetSinkInfoListReply
	if err := client.Request(&proto.GetSinkInfoList{}, &list); err != nil {
		return nil, fmt.Errorf("asking the sound server for its devices: %w", err)
	}
	return choose(list, name, "device", func(s *proto.GetSinkInfoReply) (string, string) { return s.SinkName, s.Device })
}

// FindSource returns the server's input of that name, as choose says; the default input
// when name is empty.
func FindSource(client *proto.Client, name string) (*proto.GetSourceInfoReply, error) {
	if name == "" {
		source := new(proto.GetSourceInfoReply)
		err := client.Request(&proto.GetSourceInfo{SourceIndex: proto.Undefined, SourceName: "@DEFAULT_SOURCE@"}, source)
		if err != nil {
			return nil, fmt.Errorf("the sound server has no input to listen to: %w", err)
		}
		return source, nil
	}
	var list proto.GetSourceInfoListReply
	if err := client.Request(&proto.GetSourceInfoList{}, &list); err != nil {
		return nil, fmt.Errorf("asking the sound server for its inputs: %w", err)
	}
	return choose(list, name, "input", func(s *proto.GetSourceInfoReply) (string, string) { return s.SourceName, s.Device })
}

// choose returns the one of that name, else the only one that has the words in its name
// or its description, in letters of any case. kind is what they are, for messages.
func choose[T any](list []T, name, kind string, called func(T) (name, description string)) (one T, err error) {
	var like []T
	for _, x := range list {
		id, description := called(x)
		if id == name {
			return x, nil
		}
		if strings.Contains(strings.ToLower(id+"\n"+description), strings.ToLower(name)) {
			like = append(like, x)
		}
	}
	names := func(list []T) string {
		if len(list) == 0 {
			return "none, for the server has no " + kind
		}
		said := make([]string, len(list))
		for i, x := range list {
			id, description := called(x)
			said[i] = fmt.Sprintf("%s (%s)", Printable(id), Printable(description))
		}
		return strings.Join(said, ", ")
	}
	switch len(like) {
	case 1:
		return like[0], nil
	case 0:
		return one, fmt.Errorf("found no sound %s like %q; wanted one of: %s", kind, Printable(name), names(list))
	}
	return one, fmt.Errorf("found several sound %ss like %q; wanted one of: %s", kind, Printable(name), names(like))
}
