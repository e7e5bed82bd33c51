package main

func runDemo(args []string, s streams) int { return exitDone }
