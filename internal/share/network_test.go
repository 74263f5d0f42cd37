package share

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"potbank/internal/ledger"
)

// cluster is a broker of three nodes, each a process.
type cluster struct {
	node     [3]*process
	settings [3][]string
	urls     []string
}

func newCluster(t *testing.T) *cluster {
	c := &cluster{}
	var ports, routes [3]int
	var all []string
	for i := range c.node {
		ports[i], routes[i] = freePort(t), freePort(t)
		all = append(all, fmt.Sprintf("nats://127.0.0.1:%d", routes[i]))
		c.urls = append(c.urls, fmt.Sprintf("nats://127.0.0.1:%d", ports[i]))
	}
	for i := range c.node {
		c.settings[i] = []string{fmt.Sprint("PORT=", ports[i]), fmt.Sprint("ROUTE=", routes[i]), "ROUTES=" + strings.Join(all, ","), "FOLDER=" + t.TempDir(), fmt.Sprint("NAME=n", i)}
		c.start(t, i)
	}
	for i := range c.node {
		eventually(t, "a node listens", func() bool {
			conn, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", ports[i]))
			if err == nil {
				conn.Close()
			}
			return err == nil
		})
	}
	return c
}

func (c *cluster) start(t *testing.T, i int) { c.node[i] = child(t, "broker", c.settings[i]...) }

func (c *cluster) kill(i int) {
	c.node[i].Process.Kill()
	c.node[i].Wait()
}

// leader is the node that leads the stream of jobs.
func (c *cluster) leader(t *testing.T, d *Desk) int {
	t.Helper()
	leader := -1
	eventually(t, "the stream has a leader", func() bool {
		info, err := d.jobs.Info(t.Context())
		if err != nil || info.Cluster == nil {
			return false
		}
		_, err = fmt.Sscanf(info.Cluster.Leader, "n%d", &leader)
		return err == nil
	})
	return leader
}

// TestClusterLosesItsLeader kills the node that leads the queue, in the middle of
// a study; by night, of a longer one, then another, which comes back.
func TestClusterLosesItsLeader(t *testing.T) {
	t.Parallel()
	replications, night := 20, os.Getenv("POTBANK_NIGHTLY") != ""
	if night {
		replications = 60
	}
	c := newCluster(t)
	x := begin(t, Config{URL: strings.Join(c.urls, ","), Lease: 5 * time.Second}, replications)
	if info, err := x.d.jobs.Info(t.Context()); err != nil || info.Config.Replicas != 3 || info.Config.Storage != jetstream.FileStorage {
		t.Errorf("the queue is %+v, %v", info, err)
	}
	w := child(t, "worker", "URL="+strings.Join(c.urls, ","), "NAME=a", "SLOW=150")
	w.awaits(t, "has", 5)
	led := c.leader(t, x.d)
	c.kill(led)
	if night {
		w.awaits(t, "has", 15)
		other := (led + 1) % 3
		c.kill(other)
		time.Sleep(2 * time.Second) // nothing goes on without a majority
		c.start(t, other)
	}
	x.finish(t)
}

// TestNetworkCut runs a desk and a worker in networks of their own and cuts the
// cable between them, longer than the lease: the job is done by another
// meanwhile, and the cable mended the worker works on.
func TestNetworkCut(t *testing.T) {
	t.Parallel()
	const replications, here, there = 40, "potbank-desk", "potbank-far"
	command := func(words ...string) {
		t.Helper()
		if text, err := exec.Command("ip", words...).CombinedOutput(); err != nil {
			t.Fatalf("ip %v: %v: %s", words, err, text)
		}
	}
	for _, space := range []string{here, there} {
		command("netns", "add", space)
		t.Cleanup(func() { command("netns", "del", space) })
		command("-n", space, "link", "set", "lo", "up")
	}
	command("-n", here, "link", "add", "cable", "type", "veth", "peer", "name", "cable", "netns", there)
	for space, address := range map[string]string{here: "169.254.77.1/30", there: "169.254.77.2/30"} {
		command("-n", space, "addr", "add", address, "dev", "cable")
		command("-n", space, "link", "set", "cable", "up")
	}
	_, held := local(t, replications, 2)
	path := filepath.Join(t.TempDir(), "shared.ledger")
	desk := child(t, "desk", "SPACE="+here, "URL=169.254.77.1:4222", "LEDGER="+path, fmt.Sprint("REPLICATIONS=", replications))
	far := child(t, "worker", "URL=nats://169.254.77.1:4222", "NAME=far", "SLOW=300", "SPACE="+there)
	far.awaits(t, "has", 2)
	command("-n", here, "link", "set", "cable", "down")
	near := child(t, "worker", "URL=nats://169.254.77.1:4222", "NAME=near", "SLOW=300", "SPACE="+here)
	near.awaits(t, "has", 4)
	time.Sleep(2 * shortLease)
	had := strings.Count(far.text(t), "has")
	command("-n", here, "link", "set", "cable", "up")
	far.awaits(t, "has", had+1)
	if err := desk.Wait(); err != nil {
		t.Fatalf("%v: %s", err, desk.text(t))
	}
	s, err := ledger.OpenReading(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := closed(t, s); got != held {
		t.Error("another ledger is left than by one machine")
	}
}
