package share

import (
	"context"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"

	"potbank/internal/experiment"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// TestMain lets the test binary be a process that is killed: a worker, a desk
// with its study, or a broker.
func TestMain(m *testing.M) {
	switch os.Getenv("POTBANK_SHARE_CHILD") {
	case "worker":
		childWorker()
	case "desk":
		childDesk()
	case "broker":
		childBroker()
	default:
		flag.Parse()
		flag.Set("test.parallel", "4") // they wait for one another more than they work
		os.Exit(m.Run())
	}
}

// told is a number that a child is told; 0: none.
func told(name string) int {
	n, err := strconv.Atoi(os.Getenv("POTBANK_SHARE_" + name))
	if err != nil {
		return 0
	}
	return n
}

// childWorker works until SIGTERM. Each replication takes so many milliseconds
// longer as it is told, looking whether it is to stop, and the one that is
// deadly ends the process.
func childWorker() {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	slow, deadly := time.Duration(told("SLOW"))*time.Millisecond, told("DEADLY")
	w := Worker{URL: os.Getenv("POTBANK_SHARE_URL"), Name: os.Getenv("POTBANK_SHARE_NAME"), Slots: max(1, told("SLOTS")),
		simulate: func(p *plant.Plant, o plant.Options) (*plant.Result, error) {
			fmt.Println("has", o.Source.Replication())
			if int(o.Source.Replication()) == deadly {
				os.Exit(9)
			}
			for end := time.Now().Add(slow); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
				if o.Stopped() {
					return nil, plant.ErrStopped
				}
			}
			return p.Simulate(o)
		}}
	if err := w.Run(ctx); err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
}

// childDesk does the study of the tests over a ledger, at a port.
func childDesk() {
	path := os.Getenv("POTBANK_SHARE_LEDGER")
	s, err := ledger.Open(path, 10*time.Second, time.Now)
	if err != nil {
		panic(err)
	}
	d, err := Open(Config{Listen: os.Getenv("POTBANK_SHARE_URL"), Name: "test", Folder: path + ".share", Lease: shortLease, Repeat: s.Repeat})
	if err != nil {
		panic(err)
	}
	file, _ := scenario.Read("../../scenarios/small-works.yaml")
	file.Recall = func(hash string, works *plant.Works) plant.Recaller {
		return s.Recaller(hash, "small works", d.Away(hash, works))
	}
	p, _ := file.Plant()
	n := told("REPLICATIONS")
	_, err = experiment.Replicate(context.Background(), p, experiment.Settings{Replications: n, Most: n, Seed: 1, Weeks: 6, WarmUp: 2, Workers: 8,
		Progress: func(x experiment.Progress) { fmt.Println("taken", x.Replications) }})
	if err == nil {
		err = d.Close()
	}
	if closing := s.Close(); err == nil {
		err = closing
	}
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
}

// childBroker is a broker that runs elsewhere, with its streams in a folder; one
// of a cluster if it is told routes.
func childBroker() {
	o := &server.Options{ServerName: os.Getenv("POTBANK_SHARE_NAME"), Host: "127.0.0.1", Port: told("PORT"), JetStream: true,
		StoreDir: os.Getenv("POTBANK_SHARE_FOLDER"), NoSigs: true, NoLog: true}
	if routes := os.Getenv("POTBANK_SHARE_ROUTES"); routes != "" {
		o.Cluster = server.ClusterOpts{Name: "test", Host: "127.0.0.1", Port: told("ROUTE")}
		o.Routes = server.RoutesFromStr(routes)
	}
	s, err := server.NewServer(o)
	if err != nil {
		panic(err)
	}
	s.Start()
	s.WaitForShutdown() // it is killed
}

// A process is a child, and what it said.
type process struct {
	*exec.Cmd
	said string // path
}

// child starts the test binary as something else; settings are words of the form
// NAME=value, and SPACE=name puts it into that network. It is killed at the end of the test.
func child(t testing.TB, what string, settings ...string) *process {
	t.Helper()
	c := &process{exec.Command(os.Args[0]), filepath.Join(t.TempDir(), "said")}
	c.Env = append(os.Environ(), "POTBANK_SHARE_CHILD="+what)
	for _, s := range settings {
		if space, ok := strings.CutPrefix(s, "SPACE="); ok {
			env := c.Env
			c.Cmd = exec.Command("ip", "netns", "exec", space, os.Args[0])
			c.Env = env
		}
		c.Env = append(c.Env, "POTBANK_SHARE_"+s)
	}
	out, err := os.Create(c.said)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	c.Stdout, c.Stderr = out, out
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		c.Process.Kill()
		c.Wait()
		if t.Failed() {
			t.Logf("%s %v said: %s", what, settings, c.text(t))
		}
	})
	return c
}

func (c *process) text(t testing.TB) string {
	text, err := os.ReadFile(c.said)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// awaits waits until the child has said a text so many times.
func (c *process) awaits(t testing.TB, text string, times int) {
	t.Helper()
	eventually(t, fmt.Sprintf("a child says %q %d times", text, times), func() bool { return strings.Count(c.text(t), text) >= times })
}

// eventually waits half a minute for something to be so.
func eventually(t testing.TB, what string, so func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); !so(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("it does not come that %s", what)
		}
	}
}

// freePort is a port at which nobody listens.
func freePort(t testing.TB) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}
