package handover

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
	"github.com/stretchr/testify/require"

	"arctally/report/handover/storetest"
)

// A clock that is an hour off is told as that, and not as wrong keys.
func TestEngine_WrongClock(t *testing.T) {
	e := storetest.Start(t)
	for late, want := range map[time.Duration]Kind{0: 0, time.Hour: Skewed, -time.Hour: Skewed} {
		client, err := minio.NewCore(e.Address, &minio.Options{
			Creds: credentials.NewStaticV4(storetest.Key, storetest.Secret, ""), Region: storetest.Region, MaxRetries: 1, Transport: lateClock(late),
		})
		require.NoError(t, err)
		s := &objects{where: "s3://repairs", bucket: storetest.Bucket, client: *client}
		_, err = Digests(context.Background(), s)
		if want == 0 {
			require.NoError(t, err)
		} else {
			requireKind(t, want, err, "clocks")
		}
	}
}

// lateClock signs requests anew, as a machine whose clock is late would have.
type lateClock time.Duration

func (l lateClock) RoundTrip(r *http.Request) (*http.Response, error) {
	at := time.Now().Add(-time.Duration(l)).UTC()
	stamp, day := at.Format("20060102T150405Z"), at.Format("20060102")
	r.Header.Set("X-Amz-Date", stamp)
	const signed = "host;x-amz-content-sha256;x-amz-date"
	sum := r.Header.Get("X-Amz-Content-Sha256")
	canonical := strings.Join([]string{
		r.Method, r.URL.EscapedPath(), r.URL.Query().Encode(), "host:" + r.URL.Host, "x-amz-content-sha256:" + sum, "x-amz-date:" + stamp, "", signed, sum,
	}, "\n")
	scope := day + "/" + storetest.Region + "/s3/aws4_request"
	hashed := sha256.Sum256([]byte(canonical))
	key := []byte("AWS4" + storetest.Secret)
	for _, part := range append(strings.Split(scope, "/"), "AWS4-HMAC-SHA256\n"+stamp+"\n"+scope+"\n"+hex.EncodeToString(hashed[:])) {
		mac := hmac.New(sha256.New, key)
		mac.Write([]byte(part))
		key = mac.Sum(nil)
	}
	r.Header.Set("Authorization", fmt.Sprintf("AWS4-HMAC-SHA256 Credential=%s/%s, SignedHeaders=%s, Signature=%s", storetest.Key, scope, signed, hex.EncodeToString(key)))
	return http.DefaultTransport.RoundTrip(r)
}

// A store that is killed while it takes a large file has all of it afterwards, or nothing of it.
func TestEngine_KilledWhileItTakes(t *testing.T) {
	e := storetest.Start(t)
	s, files := bucket(t, e), bundleFiles(t)
	large := bytes.Repeat([]byte("x"), 8<<20)
	files = append(files, File{Name: SamplesName, Format: "x", Write: text("", string(large)).Write})
	for round := range 10 {
		stop := time.AfterFunc(time.Duration(3+7*round)*time.Millisecond, e.Kill)
		_, err := give(t, s, files)
		stop.Stop()
		e.Kill()
		e.Again()
		if err == nil {
			break
		}
		requireKind(t, Unreachable, err)
	}
	_, err := give(t, s, files)
	require.NoError(t, err)
	b, err := Read(context.Background(), s, digest)
	require.NoError(t, err)
	content, err := b.ReadFile(context.Background(), SamplesName, 16<<20)
	require.NoError(t, err)
	require.True(t, bytes.Equal(large, content))
}
