module pedalogue

go 1.26.0

require (
	github.com/beevik/etree v1.8.1
	golang.org/x/text v0.44.0
)

require (
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/spf13/pflag v1.1.0 // indirect
	golang.org/x/sync v0.25.0 // indirect
)
