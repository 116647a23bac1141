package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io/fs"
	"net"
	"os"
	"strings"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc/credentials"

	"onevisit/cmd/internal/house"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
)

// serverVariable names the environment variable that stands in for --server.
const serverVariable = "ONEVISIT_SERVER"

// client says where a command asks: a server, or services it starts itself.
type client struct {
	Server    string        `group:"where" placeholder:"ADDRESS" help:"Ask the services at this address; $ONEVISIT_SERVER when left out. Without either, all services are started in this process."`
	CA        string        `group:"where" name:"ca" placeholder:"FILE" help:"Certificates (PEM) that the server's one must be signed by; turns TLS on."`
	Cert      string        `group:"where" placeholder:"FILE" help:"Our certificate (PEM), for a server that asks for one."`
	Key       string        `group:"where" placeholder:"FILE" help:"Its private key (PEM)."`
	Plaintext bool          `group:"where" help:"Speak without TLS to a server that is not on this machine."`
	Store     string        `group:"where" placeholder:"STORE" help:"Without a server: file:PATH, redis://HOST:PORT/DB, or temporary (as when left out)."`
	Knowledge string        `group:"where" placeholder:"DIR" help:"Without a server: an expert's folder laid over the knowledge that comes with the program."`
	Prices    string        `group:"where" placeholder:"DIR" help:"Without a server: a folder laid over the price book that comes with the program."`
	Zone      string        `group:"where" default:"Local" help:"Time zone in which clock times are read and said, such as Europe/Vienna."`
	Timeout   time.Duration `group:"where" default:"30s" help:"How long to wait for an answer."`
	JSON      bool          `name:"json" help:"Print the answer as JSON."`
}

// desk is where a command asks.
type desk struct {
	triage   triagev1.TriageServiceClient
	parts    partsv1.PartsServiceClient
	dispatch dispatchv1.DispatchServiceClient
	zone     *time.Location
	now      func() time.Time // in zone
	close    func() error
}

// open returns the services to ask. more, when not nil, changes how they are
// started in this process; it is not called when they are at a server.
func (c *client) open(a *app, more func(*house.Config)) (*desk, error) {
	zone, err := zoneOf(c.Zone)
	if err != nil {
		return nil, err
	}
	d := &desk{zone: zone, now: func() time.Time { return a.now().In(zone) }}
	if c.Server == "" {
		c.Server = a.getenv(serverVariable)
	}
	if c.Server != "" {
		return d, c.dial(a, d)
	}
	if c.CA != "" || c.Cert != "" || c.Key != "" || c.Plaintext {
		return nil, usage("--ca, --cert, --key and --plaintext say how to speak to a --server, and none is given")
	}
	config := house.Config{
		Store: c.Store, Zone: zone, Now: d.now, Log: zap.NewNop(),
	}
	if config.Store == "" {
		config.Store = house.Temporary
	}
	if config.Roles, err = house.Roles(house.All); err != nil {
		return nil, err
	}
	if config.Knowledge, err = folder("--knowledge", c.Knowledge); err != nil {
		return nil, err
	}
	if config.Prices, err = folder("--prices", c.Prices); err != nil {
		return nil, err
	}
	if more != nil {
		more(&config)
		if config.Now == nil {
			config.Now = d.now
		}
		d.now = config.Now
	}
	h, err := house.Open(a.ctx, config)
	if err != nil {
		return nil, configError(err)
	}
	d.triage, d.parts, d.dispatch, d.close = h.Triage, h.Parts, h.Dispatch, h.Close
	return d, nil
}

func (c *client) dial(a *app, d *desk) error {
	if c.Store != "" || c.Knowledge != "" || c.Prices != "" {
		return usage("--store, --knowledge and --prices belong to the server; leave them out, or leave --server out")
	}
	creds, err := c.credentials()
	if err != nil {
		return err
	}
	conn, err := host.Dial(c.Server, creds)
	if err != nil {
		return usage("--server: %v", err)
	}
	a.server = c.Server
	d.triage = triagev1.NewTriageServiceClient(conn)
	d.parts = partsv1.NewPartsServiceClient(conn)
	d.dispatch = dispatchv1.NewDispatchServiceClient(conn)
	d.close = conn.Close
	return nil
}

// credentials says how to speak to the server: TLS, unless it is on this
// machine or plain text was asked for. Nil means plain text.
func (c *client) credentials() (credentials.TransportCredentials, error) {
	switch {
	case c.Plaintext && (c.CA != "" || c.Cert != ""):
		return nil, usage("--plaintext goes with neither --ca nor --cert")
	case c.Plaintext, c.CA == "" && c.Cert == "" && loopback(c.Server):
		return nil, nil
	}
	config, err := clientTLS(c.CA, c.Cert, c.Key)
	if err != nil {
		return nil, err
	}
	return credentials.NewTLS(config), nil
}

// clientTLS reads what a caller needs to speak TLS. An empty ca means the
// authorities of the system.
func clientTLS(ca, cert, key string) (*tls.Config, error) {
	config := &tls.Config{MinVersion: tls.VersionTLS12}
	var err error
	if ca != "" {
		if config.RootCAs, err = pool(ca); err != nil {
			return nil, err
		}
	}
	if cert != "" || key != "" {
		pair, err := tls.LoadX509KeyPair(cert, key)
		if err != nil {
			return nil, usage("certificate and key: %v", err)
		}
		config.Certificates = []tls.Certificate{pair}
	}
	return config, nil
}

// pool reads a file of certificates.
func pool(file string) (*x509.CertPool, error) {
	pem, err := os.ReadFile(file)
	if err != nil {
		return nil, usage("certificates: %v", err)
	}
	out := x509.NewCertPool()
	if !out.AppendCertsFromPEM(pem) {
		return nil, usage("%s holds no certificate in PEM form", file)
	}
	return out, nil
}

// loopback reports whether an address is on this machine.
func loopback(address string) bool {
	name, _, err := net.SplitHostPort(address)
	if err != nil {
		name = address
	}
	if name == "localhost" {
		return true
	}
	ip := net.ParseIP(name)
	return ip != nil && ip.IsLoopback()
}

func zoneOf(name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, usage("--zone: %q is no time zone", name)
	}
	return zone, nil
}

// folder opens a folder of files; an empty name is none.
func folder(flag, dir string) (fs.FS, error) {
	if dir == "" {
		return nil, nil
	}
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, usage("%s: there is no folder %s", flag, dir)
	case err != nil:
		return nil, usage("%s: %v", flag, err)
	case !info.IsDir():
		return nil, usage("%s: %s is no folder", flag, dir)
	}
	return os.DirFS(dir), nil
}

// configError makes an error about a setting one of usage.
func configError(err error) error {
	if errors.Is(err, house.ErrConfig) {
		return usage("%s", strings.TrimPrefix(err.Error(), house.ErrConfig.Error()+": "))
	}
	return err
}

// ask opens the desk, gives it to use with a deadline, and closes it. Both
// errors count.
func (c *client) ask(a *app, use func(ctx context.Context, d *desk) error) error {
	d, err := c.open(a, nil)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(a.ctx, c.Timeout)
	defer cancel()
	err = use(ctx, d)
	if closing := d.close(); err == nil {
		err = closing
	}
	return err
}
