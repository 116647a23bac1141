package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/json"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// served is a running server. The log can be read after it has ended.
type served struct {
	address string
	stop    func() int
	log     *lockedBuffer
}

// lockedBuffer is written by a server and read by the test meanwhile. The buffer
// is not embedded: its ReadFrom would be used past the lock.
type lockedBuffer struct {
	mu   sync.Mutex
	data bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.data.Write(p)
}

func (b *lockedBuffer) text() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.data.String()
}

// serve starts a server in this process on a free port.
func serve(t *testing.T, args ...string) served {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	log := &lockedBuffer{}
	ended := make(chan int, 1)
	args = append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)
	go func() {
		ended <- run(ctx, args, strings.NewReader(""), io.Discard, log, func(string) string { return "" })
	}()
	stop := sync.OnceValue(func() int { cancel(); return <-ended })
	t.Cleanup(func() { stop() })
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		if address := readyAddress(log.text()); address != "" {
			return served{address, stop, log}
		}
	}
	t.Fatalf("no line says ready:\n%s", log.text())
	return served{}
}

func readyAddress(log string) string {
	for line := range strings.Lines(log) {
		var l struct{ Msg, Address string }
		if json.Unmarshal([]byte(line), &l) == nil && l.Msg == "ready" {
			return l.Address
		}
	}
	return ""
}

func TestServe_answersOverTCPAndDrains(t *testing.T) {
	s := serve(t, "--store", "temporary")
	if _, port, err := net.SplitHostPort(s.address); err != nil || port == "0" {
		t.Fatalf("ready at %q, which is no port", s.address)
	}
	at := []string{"--server", s.address}
	private := "the house of the secret garden"
	ok(t, append([]string{"fleet", "load", "demo"}, at...)...)
	booked := ok(t, append([]string{"book", pushed + " xylophone", "--family", "tumble_dryer", "--at", "0.03,0.02", "--label", private}, at...)...)
	has(t, "book", booked.stdout, "goes")
	has(t, "job list", ok(t, append([]string{"job", "list"}, at...)...).stdout, "assigned")
	has(t, "fit", ok(t, append([]string{"fit", "run_capacitor", "8 µF 425 V", "8 µF 300 V"}, at...)...).stdout, "NO")

	if code := s.stop(); code != done {
		t.Errorf("exit code %d after draining", code)
	}
	log := s.log.text()
	has(t, "log", log, `"draining"`, `"method":"/onevisit.dispatch.v1.DispatchService/CreateJob"`, `"request_id"`)
	hasNot(t, "log", log, "xylophone", "secret garden", "0.03")
	for line := range strings.Lines(log) {
		if !json.Valid([]byte(line)) {
			t.Errorf("a line of the log is no JSON: %s", line)
		}
	}
	if r := call(t, "", nil, append([]string{"job", "list", "--timeout", "1s"}, at...)...); r.code != failed {
		t.Error("the port still answers after the server ended")
	}
}

// Three processes' worth of roles, each behind its own port; the request id of
// a booking is in the log of each that was asked on the way.
func TestServe_rolesApart(t *testing.T) {
	triage := serve(t, "--role", "triage")
	parts := serve(t, "--role", "parts")
	dispatch := serve(t, "--role", "dispatch", "--triage-address", triage.address, "--parts-address", parts.address, "--store", "temporary")
	at := []string{"--server", dispatch.address}
	ok(t, append([]string{"fleet", "load", "demo"}, at...)...)
	// Only dispatch is at this address, so its own stubs are used.
	r := call(t, "", nil, append([]string{"book", pushed, "--family", "tumble_dryer", "--at", "0.03,0.02"}, at...)...)
	if r.code != done {
		t.Fatalf("book at dispatch alone: %s", r.stderr)
	}
	id := ""
	for line := range strings.Lines(dispatch.log.text()) {
		var l struct {
			Method    string
			RequestID string `json:"request_id"`
		}
		if json.Unmarshal([]byte(line), &l) == nil && strings.HasSuffix(l.Method, "CreateJob") {
			id = l.RequestID
		}
	}
	if id == "" || !strings.Contains(triage.log.text(), id) || !strings.Contains(parts.log.text(), id) {
		t.Errorf("request id %q is not in all three logs:\n%s\n%s\n%s", id, dispatch.log.text(), triage.log.text(), parts.log.text())
	}
}

func TestServe_portThatIsTaken(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	r := call(t, "", nil, "serve", "--listen", l.Addr().String(), "--store", "temporary")
	if r.code != misused || !strings.Contains(r.stderr, "--listen") {
		t.Errorf("exit code %d, %s", r.code, r.stderr)
	}
}

// Both ends prove who they are; whoever cannot is not listened to.
func TestServe_mutualTLS(t *testing.T) {
	cert, key := certificate(t)
	s := serve(t, "--store", "temporary", "--tls-cert", cert, "--tls-key", key, "--tls-ca", cert)
	fit := []string{"fit", "run_capacitor", "8 µF 425 V", "8 µF 450 V", "--server", s.address, "--timeout", "2s"}
	if r := call(t, "", nil, append(fit, "--ca", cert, "--cert", cert, "--key", key)...); r.code != done {
		t.Errorf("with our certificate: %s", r.stderr)
	}
	if r := call(t, "", nil, append(fit, "--ca", cert)...); r.code != failed {
		t.Errorf("without a certificate: exit code %d", r.code)
	}
	if r := call(t, "", nil, fit...); r.code != failed {
		t.Errorf("in plain text: exit code %d", r.code)
	}
}

// certificate makes a certificate for this machine that signs itself.
func certificate(t *testing.T) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
		KeyUsage:    x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth, x509.ExtKeyUsageClientAuth},
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	write := func(name, kind string, data []byte) string {
		file := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: data}), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	return write("cert.pem", "CERTIFICATE", der), write("key.pem", "PRIVATE KEY", raw)
}

// The real program as a child: SIGTERM ends it with exit code 0, and what was
// acknowledged before is there after a restart.
func TestServe_endsOnSIGTERM(t *testing.T) {
	store := "file:" + filepath.Join(t.TempDir(), "jobs.db")
	child := exec.Command(os.Args[0], "serve", "--listen", "127.0.0.1:0", "--store", store)
	log := &lockedBuffer{}
	child.Stderr = log
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	ended := false
	t.Cleanup(func() {
		if !ended {
			_ = child.Process.Kill() // the test has failed already
		}
	})
	address := ""
	for until := time.Now().Add(20 * time.Second); address == "" && time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		address = readyAddress(log.text())
	}
	if address == "" {
		t.Fatalf("never ready:\n%s", log.text())
	}
	ok(t, "fleet", "load", "demo", "--server", address)
	if err := child.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	err := child.Wait()
	ended = true
	if err != nil {
		t.Errorf("ended with %v:\n%s", err, log.text())
	}
	has(t, "fleet after restart", ok(t, "fleet", "list", "--store", store).stdout, "T1", "T4", "Warehouse")
}
