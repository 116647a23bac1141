package parts

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"google.golang.org/grpc"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/fit"
	commonv1 "onevisit/proto/onevisit/common/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	"onevisit/services/host"
)

// Config of a parts service.
type Config struct {
	// Prices is the owner's folder with price book and models; nil for the
	// embedded ones.
	Prices fs.FS
	// Rules is a folder with fit rules; nil for the embedded ones.
	Rules fs.FS
}

// Server serves onevisit.parts.v1.PartsService. It is immutable and safe for
// concurrent use.
type Server struct {
	partsv1.UnimplementedPartsServiceServer
	rules *fit.Rules
	ruled map[string]bool // part kinds with rules
	book  *catalogue.Book
}

var _ partsv1.PartsServiceServer = (*Server)(nil)

// New loads rules and prices and returns a server. Errors name file and line.
func New(c Config) (*Server, error) {
	s := &Server{rules: fit.Default(), book: catalogue.Default(), ruled: make(map[string]bool)}
	var err error
	if c.Rules != nil {
		if s.rules, err = fit.Load(c.Rules); err != nil {
			return nil, fmt.Errorf("parts: %w", err)
		}
	}
	if c.Prices != nil {
		if s.book, err = catalogue.Load(c.Prices); err != nil {
			return nil, fmt.Errorf("parts: %w", err)
		}
	}
	for kind := range s.rules.Kinds() {
		s.ruled[kind] = true
	}
	return s, nil
}

// Service describes the server to the house it lives in.
func (s *Server) Service() host.Service {
	return host.Service{
		Name:     partsv1.PartsService_ServiceDesc.ServiceName,
		Register: func(r grpc.ServiceRegistrar) { partsv1.RegisterPartsServiceServer(r, s) },
		Errors:   Errors,
	}
}

// LookUpRatings looks up the marks on the parts of a model.
func (s *Server) LookUpRatings(_ context.Context, req *partsv1.LookUpRatingsRequest) (*partsv1.LookUpRatingsResponse, error) {
	out := &partsv1.LookUpRatingsResponse{}
	ratings, err := s.book.Ratings(req.GetFamily(), req.GetModel())
	if errors.Is(err, catalogue.ErrModel) {
		return out, nil // most models are not listed, and that is no error
	}
	if err != nil {
		return nil, err
	}
	for kind, mark := range ratings {
		out.Ratings = append(out.Ratings, &commonv1.KnownRating{PartKind: kind, Mark: mark})
	}
	slices.SortFunc(out.Ratings, func(a, b *commonv1.KnownRating) int {
		if a.GetPartKind() < b.GetPartKind() {
			return -1
		}
		return 1
	})
	return out, nil
}
