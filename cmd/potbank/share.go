package main

import (
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"potbank/internal/share"
)

// ahead is how many replications of a shared study are handed out at once: more
// than most have cores, since what nobody has begun costs nothing.
const ahead = 512

// addShare defines the flags by which a study is shared.
func addShare(c *cobra.Command) {
	c.Flags().String("share", "", `hand out replications to machines that join: ":4222" or HOST:PORT to listen at, or the URL of a broker; needs --ledger, and --workers are those of this machine (0: none)`)
	addSecrets(c)
	c.Flags().String("cert", "", "with --share: certificate of this machine (PEM), which then speaks TLS only")
	c.Flags().String("key", "", "with --share: private key of the certificate (PEM)")
}

// addSecrets defines the flags of whoever joins a broker.
func addSecrets(c *cobra.Command) {
	c.Flags().String("token", "", "file with the token that those who share a study must know")
	c.Flags().String("ca", "", "certificate (PEM) by which a broker is known, if no public authority vouches for it")
}

// sharing opens the desk of a study that is shared; over closes it.
func (p *program) sharing(config share.Config) (over func(), err error) {
	config.Folder, config.Name = p.store.Path()+".share", deskName(p.store.Path())
	config.Repeat, config.Limit = p.store.Repeat, p.longest
	config.Say = func(format string, args ...any) { fmt.Fprintf(p.err, "share: "+format+"\n", args...) }
	if p.desk, err = share.Open(config); err != nil {
		at := config.Listen
		if at == "" {
			at = config.URL
		}
		return nil, exitf(failed, "the study cannot be shared at %s: %s", at, err)
	}
	fmt.Fprintf(p.err, "share: potbank work --join %s\n", joinURL(p.desk.URL(), config.Secure != nil))
	ended := make(chan struct{})
	go p.tellPending(ended)
	return func() {
		close(ended)
		if err := p.desk.Close(); err != nil {
			fmt.Fprintf(p.err, "share: %s\n", oneLine(err.Error()))
		}
	}, nil
}

// shareConfig reads the flags of a command that is to be shared, nil if it is not,
// and sets the number of replications that the study asks for at once.
func shareConfig(c *cobra.Command) (*share.Config, error) {
	at, _ := c.Flags().GetString("share") // the flag is there where --ledger is
	if at == "" {
		return nil, nil
	}
	here, err := c.Flags().GetInt("workers")
	if err != nil || here < 0 || here > mostWorkers {
		return nil, exitf(misused, "--workers is %d; hint: 0 to %d", here, mostWorkers)
	}
	config := &share.Config{Here: here}
	if err := c.Flags().Set("workers", strconv.Itoa(ahead)); err != nil {
		return nil, exitf(ownFault, "%s", err)
	}
	if config.Token, err = token(c); err != nil {
		return nil, err
	}
	if strings.Contains(at, "://") {
		config.URL = at
		config.Secure, err = trusting(c)
		return config, err
	}
	config.Listen = at
	host, _, err := net.SplitHostPort(at)
	if err != nil {
		return nil, exitf(misused, "--share %q: %s; hint: give :PORT, HOST:PORT or a URL", at, err)
	}
	if ip := net.ParseIP(host); config.Token == "" && host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, exitf(misused, "--share %s can be reached by other machines, and there is no token; hint: put a long random word into a file and add --token FILE", at)
	}
	config.Secure, err = serving(c)
	return config, err
}

// token reads the file with the token; none was given: empty.
func token(c *cobra.Command) (string, error) {
	path, _ := c.Flags().GetString("token") // the flag is there
	if path == "" {
		return "", nil
	}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", exitf(misused, "there is no file %s with a token", path)
	}
	word := strings.TrimSpace(string(text))
	if err != nil || word == "" || len(word) > 1000 {
		return "", exitf(misused, "%s holds no token; hint: one line of 20 to 1000 characters", path)
	}
	return word, nil
}

// serving is the TLS of a broker that this machine runs; nil: it speaks in the
// clear.
func serving(c *cobra.Command) (*tls.Config, error) {
	cert, _ := c.Flags().GetString("cert")
	key, _ := c.Flags().GetString("key")
	if cert == "" && key == "" {
		return nil, nil
	}
	pair, err := tls.LoadX509KeyPair(cert, key)
	if err != nil {
		return nil, exitf(misused, "--cert and --key: %s; hint: both as PEM files", err)
	}
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}, nil
}

// trusting is the TLS towards a broker; nil: as its URL says.
func trusting(c *cobra.Command) (*tls.Config, error) {
	path, _ := c.Flags().GetString("ca")
	if path == "" {
		return nil, nil
	}
	text, err := os.ReadFile(path)
	pool := x509.NewCertPool()
	if err != nil || !pool.AppendCertsFromPEM(text) {
		return nil, exitf(misused, "--ca %s holds no certificate; hint: a PEM file", path)
	}
	return &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12}, nil
}

// deskName is the same whenever a ledger is used again, and another for any
// other.
func deskName(path string) string {
	host, _ := os.Hostname() // empty is a name too
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	return fmt.Sprintf("%x", sha256.Sum256([]byte(host+"\n"+path)))[:16]
}

// joinURL is what to type on another machine.
func joinURL(url string, secure bool) string {
	scheme, rest, _ := strings.Cut(url, "://")
	host, port, err := net.SplitHostPort(rest)
	if ip := net.ParseIP(host); err == nil && ip != nil && ip.IsUnspecified() {
		if name, err := os.Hostname(); err == nil {
			rest = net.JoinHostPort(name, port)
		}
	}
	if secure {
		scheme = "tls"
	}
	return scheme + "://" + rest
}

// tellPending says every ten seconds how much is waited for: whoever starts and
// stops machines goes by it. A terminal has its progress instead.
func (p *program) tellPending(ended <-chan struct{}) {
	if terminalWidth(p.err) > 0 {
		return
	}
	tick := time.NewTicker(logline)
	defer tick.Stop()
	for {
		select {
		case <-ended:
			return
		case <-tick.C:
			pending, cores := p.desk.Pending()
			fmt.Fprintf(p.err, "share: %d replications pending, %d cores have joined\n", pending, cores)
		}
	}
}

// workCommand makes a worker of this machine.
func (p *program) workCommand() *cobra.Command {
	var join string
	var workers int
	var idle time.Duration
	c := &cobra.Command{
		Use:   "work --join URL",
		Short: "Work for a study that another machine shares",
		Long: `Work for a study that another machine shares.

A study run with --share says where to join. A worker needs this program and that one
port, no files: it is told what to simulate, one replication per core at a time, and sends
the result back. It may join and leave at any time; Ctrl-C hands back what it was doing.
Without a study it waits for one, or ends after --idle.`,
		Args: noFile,
		RunE: func(c *cobra.Command, _ []string) error {
			if join == "" {
				return exitf(misused, "work wants to know where; hint: potbank %s", c.Use)
			}
			if workers < 1 || workers > mostWorkers {
				return exitf(misused, "--workers is %d; hint: 1 to %d", workers, mostWorkers)
			}
			limit, err := c.Flags().GetDuration("longest-run")
			if err != nil || limit < 0 {
				return exitf(misused, "--longest-run is %s; hint: give a time such as 30m", limit)
			}
			return p.work(c, &share.Worker{URL: join, Slots: workers, Idle: idle, Limit: shared(limit, workers)})
		},
	}
	c.Flags().StringVar(&join, "join", "", `where the study is shared, e.g. "tls://desk:4222"`)
	c.Flags().IntVar(&workers, "workers", runtime.GOMAXPROCS(0), "replications simulated at once")
	addLongestRun(c)
	c.Flags().DurationVar(&idle, "idle", 0, `end when there was nothing to do for so long, e.g. "10m" (default: wait)`)
	addSecrets(c)
	return c
}

// work works until Ctrl-C or idle.
func (p *program) work(c *cobra.Command, w *share.Worker) (err error) {
	if w.Token, err = token(c); err != nil {
		return err
	}
	if w.Secure, err = trusting(c); err != nil {
		return err
	}
	host, _ := os.Hostname() // empty is a name too
	w.Name = fmt.Sprintf("%s process %d", host, os.Getpid())
	fmt.Fprintf(p.err, "working for %s with %d cores; Ctrl-C ends\n", w.URL, w.Slots)
	ctx, done := p.interruptible()
	defer done()
	err = w.Run(ctx)
	var unlike *share.KindError
	switch {
	case errors.As(err, &unlike):
		return exitf(failed, "%s; hint: use the potbank of the study, on a processor like its own", unlike)
	case err != nil:
		return exitf(failed, "no work at %s: %s", w.URL, err)
	}
	return nil
}
