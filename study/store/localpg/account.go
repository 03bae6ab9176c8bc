package localpg

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is the system account that the server programs run as.
type account struct {
	name     string
	uid, gid uint32
	switched bool // the account is not the caller's own
}

// serverAccount is the caller's own account, or for root, whom Postgres
// refuses, the account postgres, else nobody. A bare number would not do:
// initdb wants a name for it.
func serverAccount() (account, error) {
	if uid := os.Geteuid(); uid != 0 {
		return account{name: strconv.Itoa(uid), uid: uint32(uid), gid: uint32(os.Getegid())}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, uidErr := strconv.ParseUint(u.Uid, 10, 32)
		gid, gidErr := strconv.ParseUint(u.Gid, 10, 32)
		if errors.Join(uidErr, gidErr) == nil && uid != 0 {
			return account{name: name, uid: uint32(uid), gid: uint32(gid), switched: true}, nil
		}
	}
	return account{}, errors.New("the database server must not run as root, and this machine has neither " +
		"an account 'postgres' nor 'nobody' for it: make one, or run as an ordinary user")
}

// runs makes cmd run as the account, in a directory that the account can enter.
func (a account) runs(cmd *exec.Cmd) {
	cmd.Dir = "/"
	if a.switched {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: a.uid, Gid: a.gid}}
	}
}

// own gives path to the account.
func (a account) own(path string) error {
	if !a.switched {
		return nil
	}
	return os.Lchown(path, int(a.uid), int(a.gid))
}

// reaches checks that the account can enter dir, so that a closed home is
// reported as such and not as a failure of initdb. The caller's own account is
// left to the system's own checks.
func (a account) reaches(dir string) error {
	if !a.switched {
		return nil
	}
	for at := dir; ; at = filepath.Dir(at) {
		info, err := os.Stat(at)
		if err != nil {
			return err
		}
		if !a.enters(info) {
			return fmt.Errorf("%s is closed to the account %q, which runs the database server when you are root: "+
				"choose a directory outside of it, such as %s", at, a.name, rootDir)
		}
		if at == filepath.Dir(at) {
			return nil
		}
	}
}

// enters tells whether the permission bits let the account into a directory.
func (a account) enters(dir os.FileInfo) bool {
	bit := os.FileMode(0o001)
	if stat, ok := dir.Sys().(*syscall.Stat_t); ok {
		switch {
		case stat.Uid == a.uid:
			bit = 0o100
		case stat.Gid == a.gid:
			bit = 0o010
		}
	}
	return dir.Mode().Perm()&bit != 0
}
