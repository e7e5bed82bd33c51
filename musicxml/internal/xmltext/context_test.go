package xmltext

import "context"

// ctx is the context of tests that need none of their own.
var ctx = context.Background()
