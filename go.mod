module pedalogue

go 1.26.0

require (
	github.com/beevik/etree v1.8.1
	golang.org/x/text v0.44.0
)
