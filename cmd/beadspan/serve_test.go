package main

import (
	"bufio"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// What would send passwords in the clear, or show the demo to others, is
// refused before anything else is done.
func TestServeRefuses(t *testing.T) {
	for _, c := range []struct{ args, says string }{
		{"--listen=0.0.0.0:8455", "in the clear"},
		{"--listen=:8455", "in the clear"},
		{"--listen=192.0.2.1:8455", "in the clear"},
		{"--listen=:8455 --behind-proxy --demo", "this machine only"},
		{"--tls-cert=" + os.Args[0], "belong together"},
	} {
		r := beadspan(t, append([]string{"serve", "--database-url=postgres://127.0.0.1:1/none"}, strings.Fields(c.args)...)...)
		assert.Equal(t, exitUsage, r.code, c.args)
		assert.Contains(t, r.err, c.says, c.args)
	}
}

// served is a running server of the program.
type served struct {
	url, printed string
	stop         func() // as Ctrl-C does
}

// serveProgram starts the program with the arguments and waits until it says
// where it answers.
func serveProgram(t *testing.T, args ...string) served {
	t.Helper()
	cmd := program(context.Background(), args...)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	cmd.Stderr = t.Output()
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { cmd.Process.Kill() })
	var printed strings.Builder
	lines := bufio.NewScanner(out)
	where := regexp.MustCompile(`answers at (\S+)`)
	for lines.Scan() {
		printed.WriteString(lines.Text() + "\n")
		if m := where.FindStringSubmatch(lines.Text()); m != nil {
			return served{m[1], printed.String(), func() {
				require.NoError(t, cmd.Process.Signal(syscall.SIGINT))
				for lines.Scan() {
					printed.WriteString(lines.Text() + "\n")
				}
				require.NoError(t, cmd.Wait(), "it ends well")
			}}
		}
	}
	require.Fail(t, "it doesn't say where it answers", printed.String())
	return served{}
}

// The server answers, and ends in good order when it is stopped.
func TestServe(t *testing.T) {
	s := serveProgram(t, "serve", "--listen=127.0.0.1:0", "--database-url="+storetest.Bare(t))
	resp, err := http.Get(s.url + "/set-up")
	require.NoError(t, err)
	resp.Body.Close()
	assert.Equal(t, http.StatusOK, resp.StatusCode)
	s.stop()
	_, err = http.Get(s.url + "/set-up")
	assert.Error(t, err)
}

// With a certificate it speaks https, and asks for the code that it prints
// where others can reach it.
func TestServeTLS(t *testing.T) {
	cert, key := certificate(t)
	s := serveProgram(t, "serve", "--listen=0.0.0.0:0", "--tls-cert="+cert, "--tls-key="+key, "--database-url="+storetest.Bare(t))
	require.True(t, strings.HasPrefix(s.url, "https://"), s.url)
	pem, err := os.ReadFile(cert)
	require.NoError(t, err)
	known := x509.NewCertPool()
	require.True(t, known.AppendCertsFromPEM(pem))
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: known}}}
	_, port, err := net.SplitHostPort(strings.TrimPrefix(s.url, "https://"))
	require.NoError(t, err)
	resp, err := client.Get("https://127.0.0.1:" + port + "/set-up")
	require.NoError(t, err)
	resp.Body.Close()
	assert.Equal(t, http.StatusOK, resp.StatusCode)
	client.CloseIdleConnections()
	s.stop()
}

// certificate makes one for this machine.
func certificate(t *testing.T) (certFile, keyFile string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	cert, err := x509.CreateCertificate(rand.Reader, &template, &template, &key.PublicKey, key)
	require.NoError(t, err)
	private, err := x509.MarshalPKCS8PrivateKey(key)
	require.NoError(t, err)
	certFile, keyFile = filepath.Join(t.TempDir(), "cert.pem"), filepath.Join(t.TempDir(), "key.pem")
	require.NoError(t, os.WriteFile(certFile, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert}), 0o600))
	require.NoError(t, os.WriteFile(keyFile, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private}), 0o600))
	return certFile, keyFile
}

// The demo is served where it is asked for, also when the usual port is taken.
func TestDemoServes(t *testing.T) {
	taken, err := net.Listen("tcp", usualListen)
	if err == nil {
		defer taken.Close()
	}
	s := serveProgram(t, "demo", "--serve", "--out="+t.TempDir(), "--database-url="+storetest.Bare(t))
	assert.NotContains(t, s.url, usualListen)
	resp, err := http.Get(s.url + "/sign-in")
	require.NoError(t, err)
	defer resp.Body.Close()
	assert.Equal(t, http.StatusOK, resp.StatusCode)
	http.DefaultClient.CloseIdleConnections()
	s.stop()
}
