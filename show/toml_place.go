package show

import (
	"fmt"

	"github.com/pelletier/go-toml/v2/unstable"
)

// A place is a line and a column of a file, both from 1, in characters.
type place struct{ line, column int }

// places tells where each table and key of a TOML document begins, by its path
// (see join and itemPath). The library's decoder forgets where values stood.
type places map[string]place

// join is the path of a key in the table at path, which is "" for the top.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "\x00" + key
}

// itemPath is the path of element i of the array at path.
func itemPath(path string, i int) string { return fmt.Sprintf("%s\x00%d", path, i) }

// maxDepth bounds the keys that get a place. The show file nests three deep;
// what lies deeper stands under an unknown key.
const maxDepth = 4

// placesIn returns the places of a document that has been found to be TOML.
func placesIn(text *textFile) places {
	w := walker{text: text, places: places{}, items: map[string]int{}}
	var parser unstable.Parser
	parser.Reset(text.data)
	var table string
	for parser.NextExpression() {
		switch e := parser.Expression(); e.Kind {
		case unstable.Table:
			table, _ = w.key("", e)
		case unstable.ArrayTable:
			list, at := w.key("", e)
			table = itemPath(list, w.items[list])
			w.items[list]++
			w.places[table] = at
		case unstable.KeyValue:
			w.keyValue(table, e, maxDepth)
		}
	}
	return w.places
}

// A walker goes through the expressions of a document.
type walker struct {
	text   *textFile
	places places
	items  map[string]int // how many elements each array of tables has so far
}

// key notes the place of the dotted key of e, which stands in the table at
// path, and returns the path that it leads to and its place.
func (w *walker) key(path string, e *unstable.Node) (string, place) {
	var at place
	parts := e.Key()
	for depth := 0; depth < maxDepth && parts.Next(); depth++ {
		if n := w.items[path]; n > 0 {
			path = itemPath(path, n-1) // a dotted header speaks of the last element
		}
		path = join(path, string(parts.Node().Data))
		at = w.text.at(int(parts.Node().Raw.Offset))
		if _, seen := w.places[path]; !seen {
			w.places[path] = at
		}
	}
	return path, at
}

// keyValue notes the places in one line key = value of the table at path.
func (w *walker) keyValue(path string, e *unstable.Node, depth int) {
	key, _ := w.key(path, e)
	w.value(key, e.Value(), depth-1)
}

// value notes the places inside inline tables and arrays of them.
func (w *walker) value(path string, v *unstable.Node, depth int) {
	if depth == 0 || v.Kind != unstable.Array && v.Kind != unstable.InlineTable {
		return
	}
	at := w.places[path]
	items := v.Children()
	for i := 0; items.Next(); i++ {
		switch n := items.Node(); n.Kind {
		case unstable.KeyValue:
			w.keyValue(path, n, depth)
		case unstable.InlineTable:
			w.places[itemPath(path, i)] = at
			w.value(itemPath(path, i), n, depth-1)
		}
	}
}
