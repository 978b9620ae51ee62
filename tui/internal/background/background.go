// Package background keeps the terminal from being asked for the colour of its
// background. bubbletea has lipgloss ask as it is loaded, for adaptive colours,
// which drylane's themes have none of; a terminal that never answers would cost five
// seconds at every start, of every command.
//
// It must be loaded before bubbletea. Packages are loaded in the order of their
// import paths, each as soon as all that it imports are: this one needs lipgloss
// alone, as bubbletea does, and "drylane" comes before "github.com".
package background

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
