# The two commands: `make demo` shows the program at work, `make test` proves it.

TOOL     := go tool -modfile=.ci/tools.mod
FUZZTIME ?= 10s

# Rooms with goroutines of their own; they are tested under the race detector, and so
# are those whole recordings that have all of them at work. The other tests of cmd
# would only be slower under it.
CONCURRENT := ./acquire ./acquire/port ./acquire/record ./acquire/sensorbox
WHOLE      := -run 'TestEndToEnd_(LiveEqualsOffline|Resume)' ./cmd/arctally

.PHONY: build demo test lint bench fuzz modules compiler clean

build: modules
	go build -trimpath -o bin/arctally ./cmd/arctally

# Status 3 says that the demo's findings are open, as they should be.
demo: build
	bin/arctally demo || [ $$? -eq 3 ]

test: modules compiler lint
	@if command -v $$(go env CC) >/dev/null; then \
		echo "under the race detector:"; \
		CGO_ENABLED=1 go test -race -timeout 20m $(CONCURRENT) && \
		CGO_ENABLED=1 go test -race -timeout 20m $(WHOLE) && echo "without it:" && \
		go test -timeout 20m $$(go list ./... | grep -vxF "$$(go list $(CONCURRENT))"); \
	else \
		echo "no C compiler here: the tests run without the race detector"; \
		go test -timeout 20m ./...; \
	fi

lint: modules
	@unformatted=$$($(TOOL) gofumpt -l .); test -z "$$unformatted" || { echo "run gofumpt -w on:"; echo "$$unformatted"; exit 1; }
	go vet ./...
	$(TOOL) staticcheck -checks all ./...
	$(TOOL) errcheck ./...
	@dead=$$($(TOOL) deadcode -test ./...); test -z "$$dead" || { echo "nobody calls:"; echo "$$dead"; exit 1; }
	go mod tidy -diff

bench: modules
	go test -run '^$$' -bench . -benchmem ./...

fuzz: modules
	@set -e; for room in $$(go list ./...); do \
		for target in $$(go test -list '^Fuzz' $$room | grep '^Fuzz' || true); do \
			echo "$$room $$target"; go test -run '^$$' -fuzz "^$$target$$" -fuzztime $(FUZZTIME) $$room; \
		done; \
	done

modules:
	@command -v go >/dev/null || { echo "arctally needs Go 1.26 or later on the PATH"; exit 1; }
	@go mod download

# The race detector needs a C compiler; without one, and without apt, the tests run without it.
compiler:
	@if ! command -v gcc >/dev/null && command -v apt-get >/dev/null && [ "$$(id -u)" = 0 ]; then \
		apt-get update -qq && apt-get install -y -qq gcc libc6-dev || true; \
	fi

clean:
	rm -rf bin
