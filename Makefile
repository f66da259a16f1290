# make run    installs what is missing, builds, and opens the window on a sample photo
# make test   installs what is missing and runs all checks and tests
# make build  builds bin/evenrim with what is installed
# make package   builds the Debian package dist/evenrim_*.deb
# make licences  lists the modules in the program with their licences

# One set of tags everywhere keeps the compiler's cache warm.
TAGS := migrated_fynedo
# The commit is told by hand: Go's own way fails in a clone of another owner.
COMMIT := $(shell git rev-parse --short=12 HEAD 2>/dev/null)
LDFLAGS := -X main.commit=$(COMMIT)
export PATH := $(PATH):/usr/local/go/bin

.PHONY: run build test fmt vet package licences

build:
	@command -v go >/dev/null || { echo "Go is missing: install it from go.dev/dl or your package manager." >&2; exit 1; }
	@echo "Building bin/evenrim (the first time takes some minutes)." >&2
	go build -buildvcs=false -tags $(TAGS) -ldflags "$(LDFLAGS)" -o bin/evenrim ./cmd/evenrim

run:
	@scripts/install-missing
	@$(MAKE) --no-print-directory build
	bin/evenrim --sample

test:
	@scripts/install-missing test
	@unformatted="$$(gofmt -l $$(git ls-files '*.go' 2>/dev/null || find . -name '*.go'))"; \
	if [ -n "$$unformatted" ]; then echo "not formatted, run make fmt: $$unformatted" >&2; exit 1; fi
	go vet -tags $(TAGS) ./...
	# The program's own tests open real windows; Go's ten minutes are few on a busy machine.
	go test -timeout 40m -tags $(TAGS) ./...

fmt:
	gofmt -w $$(git ls-files '*.go')

vet:
	go vet -tags $(TAGS) ./...

package:
	@scripts/install-missing package
	@scripts/make-package

licences:
	@scripts/list-licences
