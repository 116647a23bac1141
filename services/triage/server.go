package triage

import (
	"context"
	"fmt"
	"io/fs"

	"google.golang.org/grpc"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/question"
	"onevisit/diagnosis/wording"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
)

// Config of a triage service.
type Config struct {
	// Knowledge is an expert's folder laid over what is embedded; nil for none.
	Knowledge fs.FS
}

// defaultLanguage is the language of requests that name none.
const defaultLanguage = "en"

// Server serves onevisit.triage.v1.TriageService. It is immutable and safe for
// concurrent use.
type Server struct {
	triagev1.UnimplementedTriageServiceServer
	base     *knowledge.Base
	models   map[string]*belief.Model // by family
	askers   map[string]*question.Asker
	lexicons map[string]*wording.Lexicon
}

var _ triagev1.TriageServiceServer = (*Server)(nil)

// New loads the knowledge and returns a server. Errors name file, line and
// column of everything that is wrong.
func New(c Config) (*Server, error) {
	base, err := load(c.Knowledge)
	if err != nil {
		return nil, fmt.Errorf("triage: knowledge: %w", err)
	}
	s := &Server{base: base, models: make(map[string]*belief.Model), askers: make(map[string]*question.Asker), lexicons: make(map[string]*wording.Lexicon)}
	for _, f := range base.Families {
		if s.models[f.Code], err = belief.Compile(f, belief.Options{}); err != nil {
			return nil, fmt.Errorf("triage: family %s: %w", f.Code, err)
		}
		if s.askers[f.Code], err = question.New(s.models[f.Code], question.DefaultCosts()); err != nil {
			return nil, fmt.Errorf("triage: questions of %s: %w", f.Code, err)
		}
	}
	if s.lexicons[defaultLanguage], err = wording.Default(defaultLanguage, wording.CodesOf(base)); err != nil {
		return nil, fmt.Errorf("triage: lexicon: %w", err)
	}
	return s, nil
}

func load(over fs.FS) (*knowledge.Base, error) {
	if over == nil {
		return knowledge.Default()
	}
	return knowledge.LoadOver(knowledge.Embedded(), over)
}

// Service describes the server to the house it lives in.
func (s *Server) Service() host.Service {
	return host.Service{
		Name:     triagev1.TriageService_ServiceDesc.ServiceName,
		Register: func(r grpc.ServiceRegistrar) { triagev1.RegisterTriageServiceServer(r, s) },
		Errors:   Errors,
	}
}

// ListFamilies lists what can be said about every family.
func (s *Server) ListFamilies(context.Context, *triagev1.ListFamiliesRequest) (*triagev1.ListFamiliesResponse, error) {
	out := &triagev1.ListFamiliesResponse{KnowledgeVersion: s.base.Version}
	for _, f := range s.base.Families {
		one := &triagev1.Family{Code: f.Code, Label: f.Label}
		for _, v := range f.Variants {
			one.Variants = append(one.Variants, v.Code)
		}
		for _, p := range f.Parts {
			one.PartKinds = append(one.PartKinds, p.Kind)
		}
		for i := range f.Questions {
			one.Questions = append(one.Questions, fromQuestion(&f.Questions[i]))
		}
		for _, x := range f.Findings {
			one.Findings = append(one.Findings, x.Code)
		}
		out.Families = append(out.Families, one)
	}
	return out, nil
}
