# Two commands matter: make demo plans a real recipe, make test checks everything.
.PHONY: demo build test check bench fuzz

export CGO_ENABLED := 0

demo: build
	@./bin/barwright plan recipes/plain-tow.toml

build:
	@go build -trimpath -o bin/barwright ./cmd/barwright

test: check
	go test -shuffle=on ./...

check:
	@bad=$$(gofmt -l $$(git ls-files '*.go')); [ -z "$$bad" ] || { echo "not gofmt-ed: $$bad"; exit 1; }
	go vet ./...
	go tool staticcheck ./...

bench:
	go test -run '^$$' -bench . -benchmem ./...

# Every parser for FUZZTIME each, one after the other.
FUZZTIME ?= 20s
fuzz:
	@grep -rl --include='*_test.go' '^func Fuzz' . | while read -r f; do \
		for name in $$(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\).*/\1/p' "$$f"); do \
			echo "$$(dirname $$f) $$name"; go test -run '^$$' -fuzz "^$$name\$$" -fuzztime $(FUZZTIME) "$$(dirname $$f)" || exit 1; \
		done; done
