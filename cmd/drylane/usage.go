package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"

	"drylane/show/words"

	"github.com/alecthomas/kong"
)

// values are how numbers and times on the command line are read: with a minus too,
// which the parser's own take for the beginning of a flag, and with errors that say
// what is wanted.
func values() kong.Option {
	return kong.OptionFunc(func(k *kong.Kong) error {
		for _, o := range []kong.Option{
			kong.TypeMapper(reflect.TypeFor[time.Duration](), value(func(to reflect.Value, text string) bool {
				d, err := time.ParseDuration(text)
				to.SetInt(int64(d))
				return err == nil
			})),
			kong.KindMapper(reflect.Float64, value(func(to reflect.Value, text string) bool {
				x, err := strconv.ParseFloat(text, 64)
				to.SetFloat(x)
				return err == nil && !math.IsNaN(x) && !math.IsInf(x, 0)
			})),
			kong.KindMapper(reflect.Int, value(func(to reflect.Value, text string) bool {
				n, err := strconv.Atoi(text)
				to.SetInt(int64(n))
				return err == nil
			})),
			kong.KindMapper(reflect.Uint64, value(func(to reflect.Value, text string) bool {
				n, err := strconv.ParseUint(text, 10, 64)
				to.SetUint(n)
				return err == nil
			})),
		} {
			if err := o.Apply(k); err != nil {
				return err
			}
		}
		return nil
	})
}

// value reads one value by a function that reports whether the text is one.
func value(read func(to reflect.Value, text string) bool) kong.Mapper {
	return kong.MapperFunc(func(ctx *kong.DecodeContext, target reflect.Value) error {
		token := ctx.Scan.Pop()
		if token.IsEOL() {
			return fmt.Errorf("found nothing behind it; wanted %s", wanted(ctx.Value))
		}
		if text := fmt.Sprint(token.Value); !read(target, text) {
			return fmt.Errorf("found %q; wanted %s", text, wanted(ctx.Value))
		}
		return nil
	})
}

// wanted says what a flag takes, with an example.
func wanted(v *kong.Value) string {
	name := ""
	if v.Flag != nil {
		name = v.Flag.PlaceHolder
	}
	t := v.Target.Type()
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == reflect.TypeFor[time.Duration]():
		return "a time with its unit, such as 180ms, 4s or 1m30s"
	case strings.HasPrefix(name, "DB"):
		return "decibels, such as -12"
	case name == "PPM":
		return "parts per million, such as 250"
	case t.Kind() == reflect.Int:
		return "a whole number"
	case t.Kind() == reflect.Uint64:
		return "a whole number of 0 or more, such as 7"
	}
	return "a number"
}

// sayUsage says what is wrong with the command line, and where its help is.
func sayUsage(w io.Writer, err error) {
	help := "drylane"
	if p := new(kong.ParseError); errors.As(err, &p) && p.Context != nil {
		for _, part := range p.Context.Path {
			if part.Command != nil {
				help = "drylane " + part.Command.Path()
			}
		}
	}
	fmt.Fprintf(w, "drylane: %s\nTry \"%s --help\".\n", cleanLines(plainUsage(err.Error())), help)
}

// usages are the parser's own messages, and how they are put here: what was found,
// and what is wanted.
var usages = []struct {
	pattern *regexp.Regexp
	put     func(m []string) string
}{
	{regexp.MustCompile(`^(\S+) must be one of (.*) but got (".*")$`), func(m []string) string {
		names := strings.FieldsFunc(m[2], func(r rune) bool { return r == ',' || r == '"' })
		return fmt.Sprintf("%s: found %s; wanted %s", m[1], m[3], words.Or(names))
	}},
	{regexp.MustCompile(`^(--\S+): expected .* but got "EOL" .*$`), func(m []string) string {
		return m[1] + ": found nothing behind it; wanted a value"
	}},
	{regexp.MustCompile(`^(--\S+): expected .* but got "(-.*)" \(.*flag\); perhaps try .*$`), func(m []string) string {
		return fmt.Sprintf("%s: found the flag %s behind it; wanted a value (%s=%s if that is one)", m[1], m[2], m[1], m[2])
	}},
	{regexp.MustCompile(`^(--\S+): bool value must be .* but got (".*")$`), func(m []string) string {
		return fmt.Sprintf("%s: found %s; wanted it without a value", m[1], m[2])
	}},
	{regexp.MustCompile(`^missing flags: (.*)$`), func(m []string) string {
		return "wanted " + strings.ReplaceAll(m[1], "=", " ") + " as well"
	}},
	{regexp.MustCompile(`^expected "<(.*?)>.*"$`), func(m []string) string {
		return fmt.Sprintf("found no %s; wanted one behind the command", strings.ToUpper(m[1]))
	}},
	{regexp.MustCompile(`^expected one of (.*)$`), func(m []string) string {
		return "found no command; wanted one of " + m[1]
	}},
	{regexp.MustCompile(`^unexpected argument (.*?)((?:, did you mean .*)?)$`), func(m []string) string {
		return fmt.Sprintf("found %q, which has no place there%s", m[1], m[2])
	}},
	{regexp.MustCompile(`^(--\S+) and (--\S+) can't be used together$`), func(m []string) string {
		return fmt.Sprintf("found both %s and %s; wanted one of them", m[1], m[2])
	}},
}

// plainUsage puts a message of the parser as all errors are put. One that is not
// known stays as it is.
func plainUsage(text string) string {
	for _, u := range usages {
		if m := u.pattern.FindStringSubmatch(text); m != nil {
			return u.put(m)
		}
	}
	return text
}
