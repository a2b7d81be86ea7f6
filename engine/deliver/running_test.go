package deliver

import (
	"io"
	"os"
	"os/exec"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// lives is set in the process that TestRunning starts: it ends when its input does.
const lives = "SCANTLING_LIVES"

func TestRunning(t *testing.T) {
	if os.Getenv(lives) != "" {
		io.Copy(io.Discard, os.Stdin)
		return
	}
	require.True(t, Running(os.Getpid()))
	require.False(t, Running(0))
	require.False(t, Running(-1))
	c := exec.Command(os.Args[0], "-test.run=^TestRunning$")
	c.Env = append(os.Environ(), lives+"=1")
	in, err := c.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	require.True(t, Running(c.Process.Pid))
	require.NoError(t, in.Close())
	for runtime.GOOS == "linux" && Running(c.Process.Pid) { // though nobody has taken note that it ended
		runtime.Gosched()
	}
	require.NoError(t, c.Wait())
	require.False(t, Running(c.Process.Pid))
}
