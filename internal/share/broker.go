package share

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"os"
	"strconv"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Names of streams and subjects.
const (
	jobsStream    = "potbank-jobs"
	resultsStream = "potbank-results"
	jobsOf        = "potbank.jobs."    // and the desk
	resultsOf     = "potbank.results." // and the desk
	worksOf       = "potbank.works."   // and the desk
	workers       = "workers"          // the consumer that all workers share
	kindKey       = "kind"             // in the metadata of the stream of jobs
)

// Limits of a broker.
const (
	mostPayload = 8 << 20         // bytes of a message over the embedded one
	duplicates  = 2 * time.Minute // a message that is sent again over a new connection; the broker remembers all of that time
	keptFor     = 24 * time.Hour  // what nobody takes: its study is over
	unacked     = 100_000         // jobs being done at once
)

// startBroker starts the embedded server: it listens at a host and port, and
// keeps its streams in memory, since the ledger is the truth and a desk that dies
// asks again.
func startBroker(listen, folder, token string, secure *tls.Config) (*server.Server, error) {
	host, text, err := net.SplitHostPort(listen)
	if err != nil {
		return nil, err
	}
	port, err := strconv.Atoi(text)
	if err != nil || port < 0 || port > 65535 {
		return nil, fmt.Errorf("no port %q", text)
	}
	if port == 0 {
		port = server.RANDOM_PORT
	}
	if host == "" {
		host = "0.0.0.0"
	}
	if err := os.RemoveAll(folder); err != nil {
		return nil, err
	}
	s, err := server.NewServer(&server.Options{
		ServerName: "potbank", Host: host, Port: port, Authorization: token, TLSConfig: secure, TLS: secure != nil, TLSTimeout: 5,
		JetStream: true, StoreDir: folder, JetStreamMaxMemory: 2 << 30, JetStreamMaxStore: 1 << 30, MaxPayload: mostPayload,
		NoSigs: true, NoLog: true, DisableJetStreamBanner: true,
	})
	if err != nil {
		return nil, err
	}
	s.Start()
	if !s.ReadyForConnections(10 * time.Second) {
		s.Shutdown()
		return nil, fmt.Errorf("nothing can listen at %s", listen)
	}
	return s, nil
}

// dial connects to a broker, and goes on trying when the connection breaks.
func dial(url, token, name string, secure *tls.Config, more ...nats.Option) (*nats.Conn, error) {
	options := append([]nats.Option{nats.Name(name), nats.MaxReconnects(-1), nats.ReconnectWait(250 * time.Millisecond), nats.ReconnectJitter(100*time.Millisecond, time.Second),
		nats.Timeout(5 * time.Second), nats.PingInterval(10 * time.Second), nats.MaxPingsOutstanding(2)}, more...)
	if token != "" {
		options = append(options, nats.Token(token))
	}
	if secure != nil {
		options = append(options, nats.Secure(secure))
	}
	return nats.Connect(url, options...)
}

// streams makes the streams and the workers' consumer, unless they are there.
func streams(ctx context.Context, js jetstream.JetStream, c *Config, kind Kind) (jobs jetstream.Stream, err error) {
	if there, err := js.Stream(ctx, jobsStream); err == nil {
		info := there.CachedInfo()
		if other := Kind(info.Config.Metadata[kindKey]); other != kind && info.State.Msgs > 0 {
			return nil, fmt.Errorf("another study is shared there that wants %s, and this one wants %s; wait for it to end, or use another broker", other, kind)
		}
	} else if !errors.Is(err, jetstream.ErrStreamNotFound) {
		return nil, err
	}
	stream := func(name, subjects string, metadata map[string]string) (jetstream.Stream, error) {
		config := jetstream.StreamConfig{Name: name, Subjects: []string{subjects}, Retention: jetstream.WorkQueuePolicy,
			Duplicates: duplicates, MaxAge: keptFor, Storage: jetstream.FileStorage, Replicas: 3, Metadata: metadata}
		if c.Listen != "" {
			config.Storage, config.Replicas = jetstream.MemoryStorage, 1
		}
		s, err := js.CreateOrUpdateStream(ctx, config)
		if err != nil && config.Replicas > 1 && !errors.Is(err, context.DeadlineExceeded) { // a server that is no cluster
			config.Replicas = 1
			s, err = js.CreateOrUpdateStream(ctx, config)
		}
		return s, err
	}
	if _, err := stream(resultsStream, resultsOf+"*", nil); err != nil {
		return nil, err
	}
	if jobs, err = stream(jobsStream, jobsOf+"*", map[string]string{kindKey: string(kind)}); err != nil {
		return nil, err
	}
	_, err = jobs.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{
		Durable: workers, AckPolicy: jetstream.AckExplicitPolicy, AckWait: c.lease(), MaxDeliver: -1, MaxAckPending: unacked,
	})
	return jobs, err
}
