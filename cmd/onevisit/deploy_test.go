package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"
	"go.yaml.in/yaml/v3"
)

// Every command line that ships in deploy is one the program understands.
func TestDeploy_CommandsAreUnderstood(t *testing.T) {
	deploy := filepath.Join("..", "..", "deploy")
	read := func(name string) string {
		raw, err := os.ReadFile(filepath.Join(deploy, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	var lines [][]string
	var compose struct {
		Services map[string]struct {
			Command []string
			Build   any
		}
	}
	if err := yaml.Unmarshal([]byte(read("compose.yaml")), &compose); err != nil {
		t.Fatal(err)
	}
	for _, s := range compose.Services {
		if s.Build != nil {
			lines = append(lines, s.Command)
		}
	}
	quoted := regexp.MustCompile(`"([^"]*)"`)
	for line := range strings.Lines(read("Containerfile")) {
		if strings.HasPrefix(line, "CMD ") {
			var words []string
			for _, m := range quoted.FindAllStringSubmatch(line, -1) {
				words = append(words, m[1])
			}
			lines = append(lines, words)
		}
	}
	for line := range strings.Lines(read("onevisit.service")) {
		if command, is := strings.CutPrefix(line, "ExecStart="); is {
			lines = append(lines, strings.Fields(command)[1:])
		}
	}
	if len(lines) != 5 {
		t.Fatalf("found %d command lines, want three services, the image and the unit: %v", len(lines), lines)
	}
	for _, words := range lines {
		parser, err := kong.New(&cli{}, kong.Bind(&app{}))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parser.Parse(words); err != nil {
			t.Errorf("%v: %v", words, err)
		}
	}
}

// A real Redis accepts the configuration that ships.
func TestDeploy_RedisTakesItsConfiguration(t *testing.T) {
	conf, err := filepath.Abs(filepath.Join("..", "..", "deploy", "redis.conf"))
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(l.Addr().String())
	l.Close()
	server := exec.Command("redis-server", conf, "--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir())
	if err := server.Start(); err != nil {
		t.Fatalf("redis-server: %v; install the package redis-server", err)
	}
	t.Cleanup(func() {
		_ = server.Process.Kill()
		_ = server.Wait()
	})
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(20 * time.Millisecond) {
		if c, err := net.Dial("tcp", net.JoinHostPort("127.0.0.1", port)); err == nil {
			c.Close()
			return
		}
	}
	t.Error("redis-server does not answer with the shipped configuration")
}
