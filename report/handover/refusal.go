package handover

import (
	"errors"
	"net"
	"net/http"
	"net/url"

	"github.com/minio/minio-go/v7"
)

// refusals are what a store says, by the codes that S3 documents, and by some that stores of others say
// of keys that they do not know, and of a disk that is full.
var refusals = map[string]Kind{
	"InvalidAccessKeyId": Refused, "SignatureDoesNotMatch": Refused, "InvalidToken": Refused, "ExpiredToken": Refused, "XAdminUserNotFound": Refused,
	"AccessDenied": Forbidden, "RequestTimeTooSkewed": Skewed,
	"NoSuchKey": Missing, "NoSuchBucket": NoBucket,
	"PreconditionFailed": There, "ConditionalRequestConflict": There,
	"QuotaExceeded": Full, "InsufficientStorage": Full, "XMinioStorageFull": Full,
}

var refusalWords = map[Kind]string{
	Refused: "the store does not take the keys", Forbidden: "the store does not allow it", Skewed: "the clocks of the store and of this machine differ by too much",
	There: "there already", Full: "the store has no room", Unreachable: "the store cannot be reached",
}

// in gives what goes wrong with a bundle, or a file of one, its kind.
func (o *objects) in(bundle, name string, err error) error {
	if ended(err) {
		return err
	}
	if own, ok := errors.AsType[*Error](err); ok {
		return own
	}
	kind := kindOf(err)
	e := &Error{Kind: kind, Where: place(o, bundle, name), Text: refusalWords[kind], Err: err}
	if kind == NoBucket {
		e.Where, e.Text, e.Err = o.where, "there is no bucket "+o.bucket, nil
	}
	return e
}

func kindOf(err error) Kind {
	if said, ok := errors.AsType[minio.ErrorResponse](err); ok {
		if kind, ok := refusals[said.Code]; ok {
			return kind
		}
		switch said.StatusCode {
		case http.StatusPreconditionFailed:
			return There
		case http.StatusInsufficientStorage:
			return Full
		case http.StatusServiceUnavailable, http.StatusBadGateway, http.StatusGatewayTimeout:
			return Unreachable
		}
		return Failed
	}
	_, dialled := errors.AsType[*url.Error](err)
	_, network := errors.AsType[net.Error](err)
	if dialled || network {
		return Unreachable
	}
	return Failed
}
