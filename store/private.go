package store

import "os"

// ownersOnly keeps other accounts of this computer out of a database and what
// SQLite keeps beside it: a recipe is a trade secret, and the hash of a phone's
// token is in there too. It makes the file when it is not there, because SQLite
// would let everybody read it. Where that cannot be done, opening the file will
// say why, or the disk knows no owners.
//
// A folder that this program makes is its owner's only; one that was there is
// left as it is, because it may be a home or hold other things.
func ownersOnly(path string) {
	if f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600); err == nil {
		f.Close()
	}
	for _, end := range []string{"", "-wal", "-shm", "-journal"} {
		if info, err := os.Stat(path + end); err == nil && info.Mode().IsRegular() && info.Mode().Perm()&0o077 != 0 {
			os.Chmod(path+end, info.Mode().Perm()&^0o077)
		}
	}
}
