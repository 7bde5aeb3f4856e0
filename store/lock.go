package store

import (
	"errors"
	"os"
	"syscall"
)

// lockFile makes this process the only one with file open, for as long as the returned lock lives: the system drops
// it when the process ends, however it ends. name is what people call the file.
func lockFile(file, name string) (*os.File, error) {
	for {
		lock, err := os.OpenFile(file+".lock", os.O_RDWR|os.O_CREATE, 0o600)
		if err != nil {
			return nil, inPlainWords(name, err)
		}
		if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
			_ = lock.Close()
			if errors.Is(err, syscall.EWOULDBLOCK) {
				return nil, locked(name, err)
			}
			return nil, inPlainWords(name, err)
		}
		// Whoever held it before may have removed it between our opening and locking it.
		if stillThere(lock) {
			return lock, nil
		}
		_ = lock.Close()
	}
}

func stillThere(lock *os.File) bool {
	held, err := lock.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(lock.Name())
	return err == nil && os.SameFile(held, named)
}

// unlock lets go. A lock file that can't be removed does no harm.
func unlock(lock *os.File) error {
	_ = os.Remove(lock.Name())
	return lock.Close()
}
