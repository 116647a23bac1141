module onevisit

go 1.26.0

require (
	buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go v1.36.12-20260825204119-511051f7f437.1
	buf.build/go/protovalidate v1.4.0
	github.com/agnivade/levenshtein v1.2.2
	github.com/alecthomas/kong v1.17.0
	github.com/google/go-cmp v0.7.0
	github.com/govalues/money v0.2.4
	github.com/kljensen/snowball v0.10.0
	github.com/redis/go-redis/v9 v9.23.0
	go.etcd.io/bbolt v1.5.0
	go.uber.org/zap v1.28.0
	go.yaml.in/yaml/v3 v3.0.6
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
	google.golang.org/genproto v0.0.0-20261026165753-2ffab32bce7e
	google.golang.org/genproto/googleapis/api v0.0.0-20261019180522-ce908d29299b
	google.golang.org/genproto/googleapis/rpc v0.0.0-20261026165753-2ffab32bce7e
	google.golang.org/grpc v1.85.0
	google.golang.org/protobuf v1.36.12
	pgregory.net/rapid v1.3.0
)

require (
	cel.dev/cel-go v0.32.0 // indirect
	cel.dev/expr v0.25.3 // indirect
	github.com/antlr4-go/antlr/v4 v4.13.1 // indirect
	github.com/cespare/xxhash/v2 v2.3.0 // indirect
	github.com/govalues/decimal v0.1.36 // indirect
	go.uber.org/atomic v1.12.0 // indirect
	go.uber.org/multierr v1.10.0 // indirect
	golang.org/x/exp v0.0.0-20260820142414-ca536658362e // indirect
	golang.org/x/net v0.62.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
)
