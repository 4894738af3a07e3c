# The two commands: `make demo` shows the program at work, `make test` proves it.

TOOL     := go tool -modfile=.ci/tools.mod
FUZZTIME ?= 10s
PAGE     := report/page
READER   := report/export/reader
CHROMIUM ?= /usr/bin/chromium

# Rooms with goroutines of their own; they are tested under the race detector, and so
# are those whole recordings that have all of them at work. The other tests of cmd/arctally
# would only be slower under it.
CONCURRENT := ./acquire ./acquire/port ./acquire/record ./acquire/sensorbox ./report/page ./cmd/internal/review ./cmd/internal/recording ./cmd/internal/virtualbox ./cmd/internal/workshop
WHOLE      := -run 'TestEndToEnd_(LiveEqualsOffline|Resume)' ./cmd/arctally

.PHONY: build demo serve test lint bench fuzz pages browser modules compiler chromium reader clean

build: modules pages
	go build -trimpath -o bin/arctally ./cmd/arctally

# Status 3 says that the demo's findings are open, as they should be.
demo: build
	bin/arctally demo || [ $$? -eq 3 ]

# The pages, with a virtual sensor box for want of a real one; Ctrl-C ends.
serve: build
	mkdir -p bin/demo
	bin/arctally serve --demo bin/demo

test: modules compiler chromium reader build lint
	@if command -v $$(go env CC) >/dev/null; then \
		echo "under the race detector:"; \
		CGO_ENABLED=1 go test -race -timeout 20m $(CONCURRENT) && \
		CGO_ENABLED=1 go test -race -timeout 20m $(WHOLE) && echo "without it:" && \
		go test -timeout 20m $$(go list ./... | grep -vxF "$$(go list $(CONCURRENT))"); \
	else \
		echo "no C compiler here: the tests run without the race detector"; \
		go test -timeout 20m ./...; \
	fi
	@$(MAKE) --no-print-directory browser

# A whole repair in a real browser, from the forms to the printed record.
browser: build chromium
	ARCTALLY=$(CURDIR)/bin/arctally CHROMIUM=$(CHROMIUM) npm --prefix $(PAGE) test

lint: modules $(PAGE)/node_modules/.package-lock.json
	@unformatted=$$($(TOOL) gofumpt -l cmd acquire analyze report/*/*.go report/*/*/*.go testdata); test -z "$$unformatted" || { echo "run gofumpt -w on:"; echo "$$unformatted"; exit 1; }
	go vet ./...
	$(TOOL) staticcheck -checks all ./...
	$(TOOL) errcheck ./...
	@dead=$$($(TOOL) deadcode -test ./...); test -z "$$dead" || { echo "nobody calls:"; echo "$$dead"; exit 1; }
	go mod tidy -diff
	npm --prefix $(PAGE) run check

bench: modules
	go test -run '^$$' -bench . -benchmem ./...

fuzz: modules
	@set -e; for room in $$(go list ./...); do \
		for target in $$(go test -list '^Fuzz' $$room | grep '^Fuzz' || true); do \
			echo "$$room $$target"; go test -run '^$$' -fuzz "^$$target$$" -fuzztime $(FUZZTIME) $$room; \
		done; \
	done

# What the program serves is made of the sources in web and embedded in it.
pages: $(PAGE)/dist/index.html

$(PAGE)/dist/index.html: $(PAGE)/node_modules/.package-lock.json $(shell find $(PAGE)/web -type f ! -name api.d.ts) $(PAGE)/build.mjs $(PAGE)/openapi.yaml
	npm --prefix $(PAGE) run build
	@touch $@

%/node_modules/.package-lock.json: %/package-lock.json
	@command -v npm >/dev/null || { echo "arctally's pages need Node 20 or later, with npm, on the PATH"; exit 1; }
	npm --prefix $* ci --no-audit --no-fund
	@touch $@

# Another program reads the exports in the tests.
reader: $(READER)/node_modules/.package-lock.json

modules:
	@command -v go >/dev/null || { echo "arctally needs Go 1.26 or later on the PATH"; exit 1; }
	@go mod download

# The race detector needs a C compiler; without one, and without apt, the tests run without it.
compiler:
	@if ! command -v gcc >/dev/null && command -v apt-get >/dev/null && [ "$$(id -u)" = 0 ]; then \
		apt-get update -qq && apt-get install -y -qq gcc libc6-dev || true; \
	fi

# The browser tests drive Debian's Chromium; poppler reads the printed record back.
chromium:
	@if { [ ! -x $(CHROMIUM) ] || ! command -v pdftotext >/dev/null; } && command -v apt-get >/dev/null; then \
		sudo=; [ "$$(id -u)" = 0 ] || sudo=sudo; \
		$$sudo apt-get update -qq && $$sudo apt-get install -y -qq --no-install-recommends chromium poppler-utils; \
	fi
	@test -x $(CHROMIUM) || { echo "the browser tests need Chromium: set CHROMIUM=/path/to/it"; exit 1; }

clean:
	rm -rf bin $(PAGE)/node_modules $(READER)/node_modules
	find $(PAGE)/dist -type f ! -name .keep -delete
