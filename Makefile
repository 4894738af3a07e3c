# The two commands: `make demo` shows the program at work, `make test` proves it.
# Beside them: `make check` is for after every change, and takes a minute; `make long` has what takes longer than `make test`;
# `make mutants ROOM=./acquire/calib` changes single operators of a room and tells which changes its tests do not notice.

TOOL     := go tool -modfile=.ci/tools.mod
FUZZTIME ?= 10s
PAGE     := report/page
READER   := report/export/reader
FIRMWARE := acquire/sensorbox/firmware
BENCH    := $(FIRMWARE)/bench
CHROMIUM ?= /usr/bin/chromium

# What the tests want beside Go and Node, and is not there, by the names of its packages: a C compiler for the race detector,
# Chromium for the pages, poppler to read printed records back, zbar to read the code on them, Python and zstd for the second program that reads records,
# a compiler for the firmware of the sensor box, Modbus slaves that others wrote, and shells and mandoc for what stands beside the program.
MISSING = $(if $(shell command -v gcc 2>/dev/null),,gcc libc6-dev) \
	$(if $(wildcard $(CHROMIUM)),,chromium) \
	$(if $(shell command -v pdftotext 2>/dev/null),,poppler-utils) \
	$(if $(shell command -v zbarimg 2>/dev/null),,zbar-tools) \
	$(if $(shell command -v python3 2>/dev/null),,python3) \
	$(if $(shell command -v zstd 2>/dev/null),,zstd) \
	$(if $(shell command -v avr-gcc 2>/dev/null),,gcc-avr avr-libc binutils-avr) \
	$(if $(shell command -v mandoc 2>/dev/null),,mandoc) \
	$(if $(shell command -v fish 2>/dev/null),,fish) \
	$(if $(shell command -v zsh 2>/dev/null),,zsh) \
	$(if $(wildcard /usr/include/modbus/modbus.h),,libmodbus-dev) \
	$(if $(shell /usr/bin/python3 -c 'import pymodbus, serial, serial_asyncio' 2>/dev/null && echo there),,python3-pymodbus python3-serial python3-serial-asyncio)

# What stands in for Windows, and makes a library that it lacks.
WINE_MISSING = $(if $(wildcard /usr/lib/wine/wine64),,wine wine64) \
	$(if $(shell command -v x86_64-w64-mingw32-ld 2>/dev/null),,binutils-mingw-w64-x86-64)

# Rooms with goroutines of their own; they are tested under the race detector, and so
# are those whole recordings that have all of them at work, and what else has a goroutine.
# The other tests of these rooms would only be slower under it, and so would those that
# have one goroutine at work: ALONE.
CONCURRENT := ./acquire ./acquire/loopback ./acquire/modbus ./acquire/port ./acquire/record ./report/fleet ./report/page ./cmd/internal/alljobs ./cmd/internal/apart ./cmd/internal/door ./cmd/internal/outbox ./cmd/internal/recording ./cmd/internal/virtualbox ./cmd/internal/workshop
ALONE      := 'Test(Verify|Groups|Frozen|Extremes|Between|Open|Crash|Shape|Forgeries|Measured|SecondProgram)_|TestMeasured$$|TestExtremes|TestServe_EveryPattern|TestImport_SteadyArc'
WHOLE      := -run 'TestEndToEnd_(LiveEqualsOffline|Resume)|Test(Ahead|Port|SlowReader|Play|Cancel|Drain|WriteReturns|Slave)' ./cmd/arctally ./acquire/sensorbox ./cmd/internal/review

.PHONY: build demo serve check test long lint formatted types bench compare fuzz power campaigns plugs others anywhere anywhere-builds mutants pages browser modules packages reader emulator firmware engines dist same-bytes install-test emulated clean

build: modules pages
	go build -trimpath -o bin/arctally ./cmd/arctally

# Status 3 says that the demo's findings are open, as they should be.
demo: build
	bin/arctally demo || [ $$? -eq 3 ]

# The pages, with a virtual sensor box for want of a real one; Ctrl-C ends.
serve: build
	mkdir -p bin/demo
	bin/arctally serve --demo bin/demo

# No root, no browser, nothing to install: what a change has broken, as far as a minute can tell.
check: formatted
	go vet ./...
	go test -short ./...
	@if [ -x $(PAGE)/node_modules/.bin/tsc ]; then $(MAKE) --no-print-directory types; \
	else echo "the pages are not checked: their tools are not here (make pages fetches them)"; fi

test: modules packages reader emulator build lint
	@if command -v $$(go env CC) >/dev/null; then \
		echo "under the race detector:"; \
		CGO_ENABLED=1 go test -race -timeout 20m -skip $(ALONE) $(CONCURRENT) && \
		CGO_ENABLED=1 go test -race -timeout 20m $(WHOLE) && echo "without it:" && \
		go test -timeout 20m -run $(ALONE) $(CONCURRENT) && \
		go test -timeout 20m $$(go list ./... | grep -vxF "$$(go list $(CONCURRENT))"); \
	else \
		echo "no C compiler here: the tests run without the race detector"; \
		go test -timeout 20m ./...; \
	fi
	@$(MAKE) --no-print-directory browser

# A whole repair in a real browser, from the forms to the printed record.
browser: build packages
	@test -x $(CHROMIUM) || { echo "the browser tests need Chromium: set CHROMIUM=/path/to/it"; exit 1; }
	ARCTALLY=$(CURDIR)/bin/arctally CHROMIUM=$(CHROMIUM) npm --prefix $(PAGE) test

# What takes longer than anybody waits for after a change.
long: build others anywhere power campaigns engines plugs
	ARCTALLY_FORGERIES=1 go test -count=1 -run 'TestShape_|TestForgeries_|TestCrash_' -timeout 60m -v ./acquire/record
	ARCTALLY_EVERY_LIMIT=1 go test -count=1 -run TestTapedBy -timeout 30m ./analyze
	ARCTALLY_TWELVE_HOURS=1 go test -run '^$$' -bench Trace -timeout 60m ./cmd/internal/workshop
	ARCTALLY=$(CURDIR)/bin/arctally ARCTALLY_VIEWERS_FOR=30s go test -count=1 -run TestViewers -timeout 30m -v ./cmd/arctally
	ARCTALLY=$(CURDIR)/bin/arctally ARCTALLY_KILLS=200 ARCTALLY_STARVED_FOR=2m go test -count=1 -run TestApart -timeout 60m -v ./cmd/arctally
	ARCTALLY=$(CURDIR)/bin/arctally ARCTALLY_MANY_PASSES=1 go test -count=1 -run TestReport_OfManyPasses -timeout 30m -v ./cmd/arctally
	ARCTALLY_FIRMWARE_SECONDS=120 go test -count=1 -run 'TestSamples$$' -timeout 60m -v ./$(BENCH)
	ARCTALLY=$(CURDIR)/bin/arctally CHROMIUM=$(CHROMIUM) ARCTALLY_LONG=1 node --test $(PAGE)/browser/access.test.mjs $(PAGE)/browser/review.test.mjs
	@if [ "$$(id -u)" = 0 ] && command -v mmdebstrap >/dev/null && command -v systemd-nspawn >/dev/null; then \
		$(MAKE) --no-print-directory same-bytes install-test; \
	else \
		echo "the packages are not tried: that takes root, mmdebstrap and systemd-container"; \
	fi
	@$(MAKE) --no-print-directory fuzz FUZZTIME=1m

# The virtual sensor box speaks to tests in ways in which it does not speak to the program.
lint: modules formatted anywhere-builds $(PAGE)/node_modules/.package-lock.json
	go vet ./...
	$(TOOL) staticcheck -checks all ./...
	$(TOOL) errcheck ./...
	@dead=$$($(TOOL) deadcode -test ./...); test -z "$$dead" || { echo "nobody calls:"; echo "$$dead"; exit 1; }
	@dead=$$($(TOOL) deadcode ./cmd/arctally | grep -v '^acquire/sensorbox/'); test -z "$$dead" || { echo "only tests call:"; echo "$$dead"; exit 1; }
	go mod tidy -diff
	@$(MAKE) --no-print-directory types

formatted: modules
	@unformatted=$$(find cmd acquire analyze report testdata -name node_modules -prune -o -name '*.go' -print | xargs $(TOOL) gofumpt -l); \
		test -z "$$unformatted" || { echo "run gofumpt -w on:"; echo "$$unformatted"; exit 1; }

types:
	npm --prefix $(PAGE) run check

bench: modules
	go test -run '^$$' -bench . -benchmem ./...

# This program and that of a commit before it, measured in turns: make compare BEFORE=COMMIT. Twelve hours and two days take long;
# HOURS=0.1,0.2 ROUNDS=1 tries it out, and ONLY=judge,windows measures parts (signals, line, judge, windows, viewers, memory, others,
# elsewhere). What each side has recorded stays in COMPARED for the next time; a side that writes otherwise records anew.
COMPARED ?= /tmp/compare
HOURS    ?= 0.1667,3,12,48
ROUNDS   ?= 3
compare: build reader
	@test -n "$(BEFORE)" || { echo "with which commit? make compare BEFORE=COMMIT"; exit 1; }
	rm -rf $(COMPARED)/tree && mkdir -p $(COMPARED)/tree $(COMPARED)/before $(COMPARED)/after
	git archive $(BEFORE) | tar -x -C $(COMPARED)/tree
	cp -r cmd/internal/compare $(COMPARED)/tree/cmd/internal/
	$(MAKE) -C $(COMPARED)/tree build
	cd $(COMPARED)/tree && go build -trimpath -buildvcs=false -o rig ./cmd/internal/compare/rig
	go build -trimpath -buildvcs=false -o bin/rig ./cmd/internal/compare/rig
	@stamp="$$(git rev-parse $(BEFORE)) $$(cat cmd/internal/compare/rig/*.go | git hash-object --stdin)"; \
		test "$$stamp" = "$$(cat $(COMPARED)/before/stamp 2>/dev/null)" || { rm -f $(COMPARED)/before/*.arctally; echo "$$stamp" > $(COMPARED)/before/stamp; }
	cmp -s bin/rig $(COMPARED)/after/rig || rm -f $(COMPARED)/after/*.arctally
	cp $(COMPARED)/tree/rig $(COMPARED)/tree/bin/arctally $(COMPARED)/before/
	mv bin/rig $(COMPARED)/after/ && cp bin/arctally $(COMPARED)/after/
	go run ./cmd/internal/compare -folder $(COMPARED) -hours $(HOURS) -rounds $(ROUNDS) -only "$(ONLY)"

# At the end of its time the tool sometimes says "context deadline exceeded", and has found nothing then.
fuzz: modules
	@set -e; for room in $$(go list ./...); do \
		for target in $$(go test -list '^Fuzz' $$room | grep '^Fuzz' || true); do \
			echo "$$room $$target"; \
			said=$$(go test -run '^$$' -fuzz "^$$target$$" -fuzztime $(FUZZTIME) $$room 2>&1) || \
				{ echo "$$said" | grep -q 'context deadline exceeded' && ! echo "$$said" | grep -q 'Failing input'; } || \
				{ echo "$$said"; exit 1; }; \
		done; \
	done

# Power cuts on a small disk of its own, which takes root; elsewhere they are left out.
CUTS ?= 100
power: modules
	@if [ "$$(id -u)" = 0 ] && command -v mkfs.ext4 >/dev/null && [ -e /dev/loop-control ]; then \
		ARCTALLY_POWER_CUTS=$(CUTS) go test -count=1 -run PowerCut -timeout 30m -v ./acquire/record; \
	else \
		echo "no power cuts: they need root, mkfs.ext4 and a loop device"; \
	fi

# Simulated truth against what is made of it: hours of arcs of every mode, thousands of
# passes by boxes that are wrong within what they say, and every way to count a turn.
ARC_HOURS ?= 24
BOX_HOURS ?= 12
campaigns: modules
	ARCTALLY_ARC_HOURS=$(ARC_HOURS) go test -count=1 -run TestArcs_ -timeout 60m -v ./analyze
	ARCTALLY_TEN_THOUSAND_PASSES=1 go test -count=1 -run 'TestCampaign$$' -timeout 60m -v ./analyze
	ARCTALLY_CAMPAIGN=1 go test -count=1 -run TestCampaign_Angle -timeout 60m -v ./cmd/arctally
	ARCTALLY_BOX_HOURS=$(BOX_HOURS) go test -count=1 -run TestSoak_ -timeout 60m -v ./cmd/arctally
	ARCTALLY_DAMAGED_ANSWERS=1 go test -count=1 -run TestTalker_Damage -timeout 60m -v ./acquire/modbus
	ARCTALLY_CAMPAIGN=1 go test -count=1 -run TestServe_EveryPattern -timeout 60m -v ./cmd/internal/workshop

# What needs the engines of others: an object store, which is killed, full and refuses (its build takes minutes, once), PostgreSQL, alone and with a
# standby, and both at once, with twenty tablets at work. ARCTALLY_JOBS=500 has them hand over more, ARCTALLY_SEED has the same killed again.
engines: modules bin/versitygw
	@ls -d /usr/lib/postgresql/*/bin >/dev/null 2>&1 || { apt-get update && apt-get install -y --no-install-recommends postgresql; }
	ARCTALLY_STORE=$(CURDIR)/bin/versitygw ARCTALLY_NEED_POSTGRES=1 go test -count=1 -run 'TestEngine_' -timeout 60m -v ./report/handover ./cmd/arctally
	ARCTALLY_NEED_POSTGRES=1 go test -count=1 -timeout 20m ./report/fleet

bin/versitygw: .ci/store.mod .ci/store.sum
	go build -modfile=.ci/store.mod -trimpath -o $@ github.com/versity/versitygw/cmd/versitygw

# Plugs that are pulled and put back under other names, and frames that are damaged on
# their way.
plugs: modules
	ARCTALLY_PLUG_CYCLES=1000 go test -count=1 -run PlugCycles -timeout 30m -v ./acquire/port
	ARCTALLY_CORRUPTED_FRAMES=1000000 go test -count=1 -run NoDamagedFrame -timeout 30m -v ./acquire

# The program as each system has it, and its tests as other systems would compile them.
anywhere-builds: modules
	@set -e; for system in windows/amd64 windows/arm64 darwin/amd64 darwin/arm64; do \
		echo "$$system"; GOOS=$${system%/*} GOARCH=$${system#*/} CGO_ENABLED=0 go build -o /dev/null ./cmd/arctally; \
	done; \
	for system in windows/amd64 darwin/arm64; do \
		echo "$$system, and its tests"; GOOS=$${system%/*} GOARCH=$${system#*/} go vet ./...; \
	done

others: modules
	@set -e; for system in linux/arm64 linux/386 windows/arm64 darwin/amd64 freebsd/amd64; do \
		echo "$$system"; GOOS=$${system%/*} GOARCH=$${system#*/} go vet ./...; \
	done

# The program for Windows, run under wine on this machine: what it records, reports and serves.
anywhere: modules pages
	@set -- $(WINE_MISSING); if [ $$# -gt 0 ]; then .ci/install.sh "$$@"; fi
	PATH="$$PATH:/usr/lib/wine" ARCTALLY_ANYWHERE=1 go test -count=1 -run 'TestAnywhere' -timeout 20m -v ./cmd/arctally

# Each change of an operator, or of what lies at its boundary, that the tests of a room survive: LIVED is a test that is missing.
# Compiles the room anew for each, so that a room takes minutes to hours.
mutants: modules
	@test -n "$(ROOM)" || { echo "of which room? make mutants ROOM=./acquire/calib"; exit 1; }
	$(TOOL) gremlins unleash $(ROOM) --workers 1 --timeout-coefficient 20

# What the program serves is made of the sources in web and embedded in it.
pages: $(PAGE)/dist/index.html

$(PAGE)/dist/index.html: $(PAGE)/node_modules/.package-lock.json $(shell find $(PAGE)/web -type f ! -name api.d.ts) $(PAGE)/build.mjs $(PAGE)/openapi.yaml
	npm --prefix $(PAGE) run build
	@touch $@

%/node_modules/.package-lock.json: %/package-lock.json
	@command -v npm >/dev/null || { echo "arctally's pages need Node 20 or later, with npm, on the PATH"; exit 1; }
	npm --prefix $* ci --no-audit --no-fund
	@touch $@

# What is handed out, in bin/dist: a Debian package for each linux, one program for every other system, a list of what is in
# each, and its licences. What a system needs that it does not have yet, it cannot be made for: then it is not named here.
DIST_SYSTEMS ?= linux/amd64 linux/arm64 windows/amd64 darwin/amd64 darwin/arm64
dist: modules pages
	.ci/dist/build.sh $(DIST_SYSTEMS)

# The same bytes from two clones at two paths.
same-bytes:
	.ci/dist/same.sh $(DIST_SYSTEMS)

# Installed, run by systemd, upgraded, removed and purged on a Debian that is made for it; it takes root. BASE=FILE.tar keeps that.
install-test: dist
	.ci/dist/install.sh

# Sizes, start and memory on an emulated arm64, beside this machine.
emulated: dist
	.ci/dist/emulated.sh

# What is flashed into the sensor box, as box.h has it.
firmware: packages
	mkdir -p bin
	cd $(FIRMWARE) && avr-gcc @options -o $(CURDIR)/bin/sensorbox.elf main.c
	avr-objcopy -O ihex -R .eeprom bin/sensorbox.elf bin/sensorbox.hex
	avr-size bin/sensorbox.elf

# An emulator runs the firmware in the tests.
emulator: $(BENCH)/node_modules/.package-lock.json

# Another program reads the exports in the tests.
reader: $(READER)/node_modules/.package-lock.json

modules:
	@command -v go >/dev/null || { echo "arctally needs Go 1.26 or later on the PATH"; exit 1; }
	@go mod download

# Installs nothing that is there. Where nothing can be installed, the tests say what they miss, or run without it.
packages:
	@set -- $(MISSING); if [ $$# -gt 0 ]; then \
		if command -v apt-get >/dev/null; then .ci/install.sh "$$@" || echo "not installed: $$*"; else echo "not here: $$*"; fi; \
	fi

clean:
	rm -rf bin $(PAGE)/node_modules $(READER)/node_modules $(BENCH)/node_modules
	find $(PAGE)/dist -type f ! -name .keep -delete
