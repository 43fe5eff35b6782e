//go:build !unix

package board

func permissionHint(string) string { return "see which program or driver holds it" }
