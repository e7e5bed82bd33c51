module pedalogue

go 1.26
