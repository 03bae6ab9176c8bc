package web

import (
	"testing"

	"beadspan/study/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }
