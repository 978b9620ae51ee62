package soundserver

import (
	"fmt"
	"strings"

	"github.com/jfreymuth/pulse/proto"
)

// FindSink returns the server's device of that name, else the only one that has
// the words in its name or its description, in letters of any case; the default
// device when name is empty.
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
	var like []*proto.GetSinkInfoReply
	for _, s := range list {
		if s.SinkName == name {
			return s, nil
		}
		if strings.Contains(strings.ToLower(s.SinkName+"\n"+s.Device), strings.ToLower(name)) {
			like = append(like, s)
		}
	}
	switch len(like) {
	case 1:
		return like[0], nil
	case 0:
		return nil, fmt.Errorf("found no sound device like %q; wanted one of: %s", Printable(name), sinkNames(list))
	}
	return nil, fmt.Errorf("found several sound devices like %q; wanted one of: %s", Printable(name), sinkNames(like))
}

// sinkNames lists devices for a person to choose from.
func sinkNames(list []*proto.GetSinkInfoReply) string {
	if len(list) == 0 {
		return "none, for the server has no device"
	}
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = fmt.Sprintf("%s (%s)", Printable(s.SinkName), Printable(s.Device))
	}
	return strings.Join(names, ", ")
}
