// Mutants plants small bugs, one at a time, and tells which of them a package's own
// tests notice:
//
//	go run .ci/mutants.go -n 200 show playback/deck show/drill:score
//
// Each argument is a folder; what follows a colon is what the names of the files
// must begin with. A bug is one operator, number, condition or call of the code
// changed; which ones are tried follows from -seed. Nothing is written into the
// tree: the compiler is given the changed file by -overlay. Bugs that are known to
// make no difference stand in .ci/mutants.equivalent, a line each: as it is printed,
// without the number of the line, and the reason behind a tab.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/format"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// A mutant is a file with one bug.
type mutant struct {
	folder, file string
	line         int
	what         string // from what to what
	source       string // the line
	text         []byte
}

func (m mutant) String() string { return fmt.Sprintf("%s:%d %s: %s", m.file, m.line, m.what, m.source) }

// key tells it from others wherever the line goes.
func (m mutant) key() string { return fmt.Sprintf("%s %s: %s", m.file, m.what, m.source) }

func main() {
	n := flag.Int("n", 200, "how many bugs to try")
	seed := flag.Uint64("seed", 1, "which ones")
	patience := flag.Duration("patience", 2*time.Minute, "what the tests of one may take")
	minutes := flag.Duration("for", 0, "stop after this time, with what has been tried by then")
	flag.Parse()
	var all []mutant
	for _, arg := range flag.Args() {
		folder, prefix, _ := strings.Cut(arg, ":")
		all = append(all, mutantsOf(folder, prefix)...)
	}
	rand.New(rand.NewPCG(*seed, 1)).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	harmless := equivalents()
	caught, survived, same, unfit := 0, 0, 0, 0
	began := time.Now()
	for _, m := range all {
		if caught+survived+same >= *n || *minutes > 0 && time.Since(began) > *minutes {
			break
		}
		if harmless[m.key()] {
			same++
			continue
		}
		switch try(m, *patience) {
		case "caught":
			caught++
		case "unfit":
			unfit++
		default:
			survived++
			fmt.Println("survived", m)
		}
	}
	fmt.Printf("%d bugs of %d possible: %d caught, %d survived, %d make no difference; %d more do not compile\n",
		caught+survived+same, len(all), caught, survived, same, unfit)
}

// equivalents reads the bugs that make no difference.
func equivalents() map[string]bool {
	out := map[string]bool{}
	b, _ := os.ReadFile(filepath.Join(".ci", "mutants.equivalent"))
	for line := range strings.Lines(string(b)) {
		bug, _, _ := strings.Cut(strings.TrimSpace(line), "\t")
		out[bug] = bug != ""
	}
	return out
}

// try runs the tests of the mutant's package.
func try(m mutant, patience time.Duration) string {
	dir, err := os.MkdirTemp("", "mutant-")
	check(err)
	defer os.RemoveAll(dir)
	changed, overlay := filepath.Join(dir, "changed.go"), filepath.Join(dir, "overlay.json")
	check(os.WriteFile(changed, m.text, 0o600))
	abs, err := filepath.Abs(m.file)
	check(err)
	b, err := json.Marshal(map[string]any{"Replace": map[string]string{abs: changed}})
	check(err)
	check(os.WriteFile(overlay, b, 0o600))
	if out, err := exec.Command("go", "build", "-overlay", overlay, "./"+m.folder).CombinedOutput(); err != nil {
		if len(out) == 0 {
			check(err)
		}
		return "unfit"
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience+time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "go", "test", "-short", "-failfast", "-vet=off", "-timeout", patience.String(), "-overlay", overlay, "./"+m.folder)
	if cmd.Run() != nil {
		return "caught"
	}
	return "survived"
}

// mutantsOf makes all mutants of a folder.
func mutantsOf(folder, prefix string) (out []mutant) {
	files, err := filepath.Glob(filepath.Join(folder, prefix+"*.go"))
	check(err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || strings.Contains(name, "_windows") || strings.Contains(name, "_darwin") {
			continue
		}
		fset := token.NewFileSet()
		text, err := os.ReadFile(name)
		check(err)
		lines := strings.Split(string(text), "\n")
		f, err := parser.ParseFile(fset, name, text, parser.ParseComments)
		check(err)
		add := func(at token.Pos, what string) {
			var b bytes.Buffer
			check(format.Node(&b, fset, f))
			line := fset.Position(at).Line
			out = append(out, mutant{folder, name, line, what, strings.TrimSpace(lines[line-1]), b.Bytes()})
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil {
				ast.Inspect(fn.Body, func(n ast.Node) bool { mutate(n, add); return true })
			}
		}
	}
	return out
}

// swaps are the operators that are mistaken for each other.
var swaps = map[token.Token][]token.Token{
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
	token.LSS: {token.LEQ, token.GEQ}, token.LEQ: {token.LSS, token.GTR}, token.GTR: {token.GEQ, token.LEQ}, token.GEQ: {token.GTR, token.LSS},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL}, token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD_ASSIGN: {token.SUB_ASSIGN}, token.SUB_ASSIGN: {token.ADD_ASSIGN}, token.INC: {token.DEC}, token.DEC: {token.INC},
}

// mutate changes n in each way there is, calls add, and changes it back.
func mutate(n ast.Node, add func(at token.Pos, what string)) {
	swap := func(at token.Pos, op *token.Token) {
		was := *op
		for _, *op = range swaps[was] {
			add(at, was.String()+" to "+op.String())
		}
		*op = was
	}
	switch n := n.(type) {
	case *ast.BinaryExpr:
		swap(n.OpPos, &n.Op)
	case *ast.AssignStmt:
		swap(n.TokPos, &n.Tok)
	case *ast.IncDecStmt:
		swap(n.TokPos, &n.Tok)
	case *ast.BasicLit:
		if v, err := strconv.Atoi(n.Value); err == nil && n.Kind == token.INT {
			was := n.Value
			n.Value = strconv.Itoa(v + 1)
			add(n.ValuePos, was+" to "+n.Value)
			n.Value = was
		}
	case *ast.CallExpr:
		if f, ok := n.Fun.(*ast.Ident); ok && (f.Name == "min" || f.Name == "max") {
			was := f.Name
			f.Name = map[string]string{"min": "max", "max": "min"}[was]
			add(f.NamePos, was+" to "+f.Name)
			f.Name = was
		}
	case *ast.IfStmt:
		was := n.Cond
		n.Cond = &ast.UnaryExpr{OpPos: was.Pos(), Op: token.NOT, X: &ast.ParenExpr{X: was}}
		add(was.Pos(), "condition turned over")
		n.Cond = was
	case *ast.BlockStmt:
		for i, s := range n.List {
			if e, ok := s.(*ast.ExprStmt); ok {
				n.List[i] = &ast.EmptyStmt{Semicolon: e.Pos(), Implicit: true}
				add(e.Pos(), "call left out")
				n.List[i] = s
			}
		}
	}
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
