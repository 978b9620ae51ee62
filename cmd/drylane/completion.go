package main

import (
	"embed"
	"fmt"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish,powershell" help:"bash, zsh, fish or powershell." placeholder:"SHELL"`
}

func (completionCmd) Help() string {
	return "Prints a script with which the shell completes commands, flags, sessions and drills. Packages install it; else:\n\n" +
		"  bash        source <(drylane completion bash), in ~/.bashrc\n" +
		"  zsh         drylane completion zsh > a folder of $fpath/_drylane\n" +
		"  fish        drylane completion fish > ~/.config/fish/completions/drylane.fish\n" +
		"  powershell  drylane completion powershell | Out-String | Invoke-Expression, in $PROFILE\n\nExample:\n\n  drylane completion bash"
}

// shellScripts ask "drylane complete" what may stand where somebody types.
//
//go:embed shell
var shellScripts embed.FS

func (c completionCmd) Run(e *env) error {
	text, err := shellScripts.ReadFile("shell/drylane." + c.Shell)
	if err != nil {
		return fmt.Errorf("found no script for %s", c.Shell)
	}
	_, err = e.out.Write(text)
	return err
}
