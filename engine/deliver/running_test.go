package deliver

import (
	"os"
	"os/exec"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRunning(t *testing.T) {
	require.True(t, Running(os.Getpid()))
	require.False(t, Running(0))
	require.False(t, Running(-1))
	c := exec.Command(os.Args[0], "-test.run=^$")
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	require.True(t, Running(c.Process.Pid))
	buf := make([]byte, 1<<10)
	for err == nil {
		_, err = out.Read(buf) // until it has ended, or nearly
	}
	for runtime.GOOS == "linux" && Running(c.Process.Pid) { // though nobody has taken note that it ended
		runtime.Gosched()
	}
	require.NoError(t, c.Wait())
	require.False(t, Running(c.Process.Pid))
}
