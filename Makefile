# Two commands matter: make demo opens the demo workshop, make test checks everything.
.PHONY: demo plan build deps test check bench fuzz

export CGO_ENABLED := 0

demo: build
	@./bin/barwright demo

plan: build
	@./bin/barwright plan recipes/plain-tow.toml

build:
	@go build -trimpath -o bin/barwright ./cmd/barwright

# Programs of Debian that the tests use: chromium shows the pages, postgresql
# keeps workshops beside SQLite, glpk-utils checks the optimiser. Without one of
# them its tests are skipped, and that is said here.
deps:
	@need=; \
	command -v chromium >/dev/null || need="$$need chromium"; \
	ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || command -v postgres >/dev/null || need="$$need postgresql"; \
	command -v glpsol >/dev/null || need="$$need glpk-utils"; \
	[ -n "$$need" ] || exit 0; \
	echo "installing for the tests:$$need"; \
	as=; [ "$$(id -u)" = 0 ] || as="sudo -n"; \
	$$as apt-get -qq update >/dev/null 2>&1; \
	$$as env DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends $$need >/dev/null 2>&1 || \
	echo "could not be installed:$$need; the tests that need them will be skipped" >&2

# Drawn inputs are the same at every run here; go test by itself draws new ones.
# Screenshots of every page stay in artefacts/.
test: export RAPID_SEED := 20261125
test: export RAPID_NOFAILFILE := 1
test: deps check
	@rm -rf artefacts && mkdir artefacts
	go test -shuffle=on -timeout 14m -artifacts -outputdir artefacts ./...
	@go test -v ./internal/pgtest | sed -n 's/.*no PostgreSQL: /the PostgreSQL half of the storage tests did not run: /p' >&2

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
