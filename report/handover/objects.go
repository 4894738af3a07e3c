package handover

import (
	"context"
	"encoding/base64"
	"encoding/hex"
	"io"
	"io/fs"
	"net/url"
	"path"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// objects is a store in a bucket, below a prefix.
type objects struct {
	where          string
	bucket, prefix string
	client         minio.Core
	mostAtOnce     int64 // bytes of an object that goes in one piece
	piece          int64 // bytes of one of several
}

// What an object store takes in one piece, by the documents of S3, which take 10 000 pieces; how large one
// of several is, and how often a request is tried before it fails, are ours.
const (
	mostAtOnce = 5 << 30
	pieceBytes = 256 << 20
	tries      = 4
)

// checksumHeader is where a store is told the SHA-256 of what comes, and where it says it back.
const checksumHeader = "x-amz-checksum-sha256"

// The environment in which an object store is described, as other programs read it.
const (
	endpointName = "AWS_ENDPOINT_URL"
	regionName   = "AWS_REGION"
	keyName      = "AWS_ACCESS_KEY_ID"
	secretName   = "AWS_SECRET_ACCESS_KEY"
)

// openObjects opens BUCKET/PREFIX.
func openObjects(where, place string, getenv func(string) string) (Store, error) {
	unnamed := func(text string) (Store, error) { return nil, &Error{Kind: Unnamed, Where: where, Text: text} }
	bucket, prefix, _ := strings.Cut(strings.TrimRight(place, "/"), "/")
	if bucket == "" || prefix != "" && !fs.ValidPath(prefix) {
		return unnamed("an object store is named s3://BUCKET/PREFIX")
	}
	var missing []string
	for _, name := range []string{endpointName, regionName, keyName, secretName} {
		if getenv(name) == "" {
			missing = append(missing, name)
		}
	}
	if len(missing) > 0 {
		return unnamed("the environment does not say " + strings.Join(missing, ", "))
	}
	at, err := url.Parse(getenv(endpointName))
	if err != nil || at.Scheme != "http" && at.Scheme != "https" || at.Host == "" || strings.Trim(at.Path, "/") != "" {
		return unnamed(endpointName + " is no address like https://store.example:9000")
	}
	o := &objects{where: strings.TrimRight(where, "/"), bucket: bucket, prefix: prefix, mostAtOnce: mostAtOnce, piece: pieceBytes}
	keys := credentials.NewStaticV4(getenv(keyName), getenv(secretName), getenv("AWS_SESSION_TOKEN"))
	if err := o.reach(at, getenv(regionName), keys, longestStill); err != nil {
		return nil, &Error{Kind: Unnamed, Where: where, Err: err}
	}
	return o, nil
}

// reach sets up how the store is reached.
func (o *objects) reach(at *url.URL, region string, keys *credentials.Credentials, still time.Duration) error {
	secure := at.Scheme == "https"
	way, err := transport(secure, still)
	if err != nil {
		return err
	}
	client, err := minio.NewCore(at.Host, &minio.Options{
		Creds: keys, Secure: secure, Region: region, MaxRetries: tries, Transport: way,
		TrailingHeaders: true, // without it the client sends no checksum of ours
	})
	if err == nil {
		o.client = *client
	}
	return err
}

// String implements Store.
func (o *objects) String() string { return o.where }

// key is the name of an object.
func (o *objects) key(elements ...string) string {
	return path.Join(append([]string{o.prefix}, elements...)...)
}

// list calls found with what stands behind a key that ends with a slash.
func (o *objects) list(ctx context.Context, bundle string, deep bool, found func(name string, size int64)) error {
	under := o.key(bundle) + "/"
	if under == "/" || under == "./" {
		under = ""
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	for one := range o.client.Client.ListObjects(ctx, o.bucket, minio.ListObjectsOptions{Prefix: under, Recursive: deep}) {
		if one.Err != nil {
			return o.in(bundle, "", one.Err)
		}
		found(strings.TrimPrefix(one.Key, under), one.Size)
	}
	return ctx.Err()
}

// Names implements Store.
func (o *objects) Names(ctx context.Context) (names []string, err error) {
	err = o.list(ctx, "", false, func(name string, _ int64) {
		if folder, ok := strings.CutSuffix(name, "/"); ok {
			names = append(names, folder)
		}
	})
	return names, err
}

// Sizes implements Store.
func (o *objects) Sizes(ctx context.Context, bundle string) (map[string]int64, error) {
	sizes := map[string]int64{}
	err := o.list(ctx, bundle, true, func(name string, size int64) {
		if !strings.HasSuffix(name, "/") { // some stores keep folders as objects of no size
			sizes[name] = size
		}
	})
	return sizes, err
}

// Get implements Store.
func (o *objects) Get(ctx context.Context, bundle, name string) (io.ReadCloser, error) {
	body, _, _, err := o.client.GetObject(ctx, o.bucket, o.key(bundle, name), minio.GetObjectOptions{})
	if err != nil {
		return nil, o.in(bundle, name, err)
	}
	return &object{body, o, bundle, name}, nil
}

// Put implements Store. The store is told the SHA-256 with the bytes, and says it back where it knows
// that header; else the object is read back.
func (o *objects) Put(ctx context.Context, bundle string, e Entry, content Content) error {
	raw, err := hex.DecodeString(e.SHA256)
	if err != nil {
		panic("handover: a sum of " + e.Name + " that is none")
	}
	sum := base64.StdEncoding.EncodeToString(raw)
	if e.Size > o.mostAtOnce {
		if err := o.putPieces(ctx, o.key(bundle, e.Name), e, content); err != nil {
			return o.in(bundle, e.Name, err)
		}
		return holds(ctx, o, bundle, e)
	}
	options := onlyOnce(e)
	options.DisableMultipart, options.UserMetadata = true, map[string]string{checksumHeader: sum}
	said, err := o.client.Client.PutObject(ctx, o.bucket, o.key(bundle, e.Name), content, e.Size, options)
	if err != nil {
		return o.in(bundle, e.Name, err)
	}
	if said.ChecksumSHA256 == sum {
		return nil
	}
	return holds(ctx, o, bundle, e)
}

// onlyOnce has an object put where there is none of its name.
func onlyOnce(e Entry) minio.PutObjectOptions {
	options := minio.PutObjectOptions{ContentType: e.Format}
	options.SetMatchETagExcept("*")
	return options
}

// putPieces puts an object in several pieces. The library does that too, but would write over another
// one then.
func (o *objects) putPieces(ctx context.Context, key string, e Entry, content Content) error {
	upload, err := o.client.NewMultipartUpload(ctx, o.bucket, key, minio.PutObjectOptions{ContentType: e.Format})
	if err != nil {
		return err
	}
	var parts []minio.CompletePart
	for from := int64(0); from < e.Size && err == nil; from += o.piece {
		var part minio.ObjectPart
		number, length := len(parts)+1, min(o.piece, e.Size-from)
		part, err = o.client.PutObjectPart(ctx, o.bucket, key, upload, number, io.NewSectionReader(content, from, length), length, minio.PutObjectPartOptions{})
		parts = append(parts, minio.CompletePart{PartNumber: number, ETag: part.ETag})
	}
	if err == nil {
		_, err = o.client.CompleteMultipartUpload(ctx, o.bucket, key, upload, parts, onlyOnce(e))
	}
	if err != nil {
		_ = o.client.AbortMultipartUpload(context.WithoutCancel(ctx), o.bucket, key, upload) // what cannot be taken back is the store's to sweep
	}
	return err
}

// object is an object that is read.
type object struct {
	io.ReadCloser
	of           *objects
	bundle, name string
}

// Read implements io.Reader.
func (b *object) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if err != nil && err != io.EOF {
		err = b.of.in(b.bundle, b.name, err)
	}
	return n, err
}
