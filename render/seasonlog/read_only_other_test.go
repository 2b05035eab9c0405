//go:build !unix

package seasonlog

// helperReadOnly has no part to play where permissions are not Unix ones.
func helperReadOnly() {}
