module pedalogue

go 1.26.0

require (
	github.com/beevik/etree v1.8.1
	github.com/google/go-cmp v0.7.0
	github.com/klauspost/compress v1.20.4
	github.com/spf13/cobra v1.10.2
	github.com/spf13/pflag v1.1.0
	golang.org/x/sync v0.25.0
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
)

require github.com/inconshreveable/mousetrap v1.1.0 // indirect
