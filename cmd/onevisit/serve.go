package main

import (
	"crypto/tls"
	"errors"
	"net"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"google.golang.org/grpc/credentials"

	"onevisit/cmd/internal/house"
	"onevisit/dispatch/travel"
)

type serveCmd struct {
	Role          string  `default:"all" help:"What to serve: all, or a list of triage, parts and dispatch."`
	Listen        string  `default:"127.0.0.1:7480" placeholder:"ADDRESS" help:"Where to listen; port 0 takes a free one and says which."`
	TriageAddress string  `placeholder:"ADDRESS" help:"Where triage is, when dispatch runs here and triage does not."`
	PartsAddress  string  `placeholder:"ADDRESS" help:"Where parts is, when dispatch runs here and parts does not."`
	Store         string  `default:"file:onevisit.db" help:"Where dispatch keeps its state: file:PATH, redis://HOST:PORT/DB, or temporary for a file that is removed at the end."`
	Knowledge     string  `placeholder:"DIR" help:"An expert's folder laid over the knowledge that comes with the program."`
	Prices        string  `placeholder:"DIR" help:"A folder laid over the price book that comes with the program."`
	Zone          string  `default:"Local" help:"Time zone whose midnights part the days, such as Europe/Vienna."`
	TLSCert       string  `name:"tls-cert" placeholder:"FILE" help:"Our certificate (PEM): turns TLS on."`
	TLSKey        string  `name:"tls-key" placeholder:"FILE" help:"Its private key (PEM)."`
	TLSCA         string  `name:"tls-ca" placeholder:"FILE" help:"Certificates (PEM) that callers must show one signed by, and that those of the other services must be signed by."`
	Plaintext     bool    `help:"Listen beyond this machine, or speak to other machines, without TLS."`
	Limit         int     `help:"How many calls are served at once; 0 means 512." default:"0"`
	LogLevel      string  `enum:"debug,info,warn,error" default:"info" help:"What is logged, as JSON on standard error: ${enum}."`
	MinutesPerKm  float64 `name:"minutes-per-km" help:"Driving minutes per road kilometre; 0 means the shipped value."`
	RoadFactor    float64 `name:"road-factor" help:"Road kilometres per straight kilometre; 0 means the shipped value."`
}

// Help is shown below the flags.
func (serveCmd) Help() string {
	return `One line with "ready" and the address is logged when calls are accepted. SIGTERM or SIGINT lets calls under way
finish; a second one ends at once.

Examples:
  onevisit serve
  onevisit serve --role triage,parts --listen 127.0.0.1:7481
  onevisit serve --role dispatch --triage-address 127.0.0.1:7481 --parts-address 127.0.0.1:7481 --store redis://127.0.0.1:6379/0
  onevisit serve --listen 0.0.0.0:7480 --tls-cert cert.pem --tls-key key.pem`
}

// config turns flags into settings of the house.
func (c *serveCmd) config() (house.Config, error) {
	var out house.Config
	roles, err := house.Roles(c.Role)
	if err != nil {
		return out, configError(err)
	}
	zone, err := zoneOf(c.Zone)
	if err != nil {
		return out, err
	}
	out = house.Config{
		Roles: roles, TriageAddress: c.TriageAddress, PartsAddress: c.PartsAddress,
		Store: c.Store, Zone: zone, Limit: c.Limit, Travel: travel.Default(),
	}
	if c.MinutesPerKm < 0 || c.RoadFactor < 0 || c.RoadFactor > 0 && c.RoadFactor < 1 {
		return out, usage("--minutes-per-km must be above 0 and --road-factor at least 1")
	}
	if c.MinutesPerKm > 0 {
		out.Travel.MinutesPerKm = c.MinutesPerKm
	}
	if c.RoadFactor > 0 {
		out.Travel.RoadFactor = c.RoadFactor
	}
	if c.Limit < 0 {
		return out, usage("--limit must not be negative")
	}
	if out.Knowledge, err = folder("--knowledge", c.Knowledge); err != nil {
		return out, err
	}
	if out.Prices, err = folder("--prices", c.Prices); err != nil {
		return out, err
	}
	return out, c.secure(&out)
}

// secure sets how callers are listened to and how other services are called.
// Nothing leaves this machine in plain text unless that was asked for.
func (c *serveCmd) secure(out *house.Config) error {
	switch {
	case (c.TLSCert == "") != (c.TLSKey == ""):
		return usage("--tls-cert and --tls-key go together")
	case c.TLSCert == "" && c.TLSCA != "":
		return usage("--tls-ca needs --tls-cert and --tls-key")
	case c.TLSCert == "" && !loopback(c.Listen) && !c.Plaintext:
		return usage("--listen %s is open to other machines: give --tls-cert and --tls-key, or --plaintext to do without", c.Listen)
	}
	if c.TLSCert != "" {
		pair, err := tls.LoadX509KeyPair(c.TLSCert, c.TLSKey)
		if err != nil {
			return usage("--tls-cert, --tls-key: %v", err)
		}
		config := &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{pair}}
		if c.TLSCA != "" {
			if config.ClientCAs, err = pool(c.TLSCA); err != nil {
				return err
			}
			config.ClientAuth = tls.RequireAndVerifyClientCert
		}
		out.ServerTLS = credentials.NewTLS(config)
	}
	away := c.TriageAddress != "" && !loopback(c.TriageAddress) || c.PartsAddress != "" && !loopback(c.PartsAddress)
	if !c.Plaintext && (away || c.TLSCA != "") {
		config, err := clientTLS(c.TLSCA, c.TLSCert, c.TLSKey)
		if err != nil {
			return err
		}
		out.ClientTLS = credentials.NewTLS(config)
	}
	return nil
}

// Run serves until the context ends.
func (c *serveCmd) Run(a *app) (err error) {
	config, err := c.config()
	if err != nil {
		return err
	}
	log := a.logger(c.LogLevel)
	config.Log = log
	listener, err := net.Listen("tcp", c.Listen) // first, since a port that is taken is the likeliest mistake
	if err != nil {
		return usage("--listen: %v", err)
	}
	h, err := house.Open(a.ctx, config)
	if err != nil {
		return errors.Join(configError(err), listener.Close())
	}
	defer func() { err = errors.Join(err, h.Close()) }()
	h.Serve(listener)
	log.Info("ready", zap.String("address", listener.Addr().String()), zap.Strings("roles", config.Roles),
		zap.Bool("tls", config.ServerTLS != nil))
	select {
	case err := <-h.Failed():
		return err
	case <-a.ctx.Done():
		log.Info("draining")
		return nil
	}
}

// logger writes structured lines to standard error.
func (a *app) logger(level string) *zap.Logger {
	at, err := zapcore.ParseLevel(level)
	if err != nil { // cannot happen: the grammar names the levels
		at = zapcore.InfoLevel
	}
	config := zap.NewProductionEncoderConfig()
	config.EncodeTime = zapcore.RFC3339NanoTimeEncoder
	config.EncodeDuration = zapcore.MillisDurationEncoder
	return zap.New(zapcore.NewCore(zapcore.NewJSONEncoder(config), zapcore.Lock(zapcore.AddSync(a.stderr)), at))
}
