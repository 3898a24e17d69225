package web

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// squares draws a path of squares, as browsers do.
func squares(t *testing.T, p *qrPicture) [][]bool {
	t.Helper()
	grid := make([][]bool, p.Size)
	for y := range grid {
		grid[y] = make([]bool, p.Size)
	}
	run := regexp.MustCompile(`^M(\d+) (\d+)h(\d+)v1h-(\d+)$`)
	for part := range strings.SplitSeq(strings.TrimSuffix(p.Path, "z"), "z") {
		m := run.FindStringSubmatch(part)
		if m == nil || m[3] != m[4] {
			t.Fatalf("%q is no run of squares", part)
		}
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		for n, _ := strconv.Atoi(m[3]); n > 0; n-- {
			grid[y][x+n-1] = true
		}
	}
	return grid
}

// The picture has what readers look for: three finder patterns, the timing
// pattern between them, and a rim of four white squares (ISO/IEC 18004, 6.3).
func TestQRCodesHaveTheirMarks(t *testing.T) {
	t.Parallel()
	finder := []string{"#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"}
	for _, text := range []string{"http://192.168.1.20:8420/pair?code=12345678", "https://a-rather-long-name-of-a-computer.home.arpa:8420/pair?code=00000000"} {
		p := qrOf(text)
		grid := squares(t, p)
		if (p.Size-8-17)%4 != 0 {
			t.Errorf("%d squares wide", p.Size-8)
		}
		for y, row := range grid {
			for x, black := range row {
				if rim := min(x, y, p.Size-1-x, p.Size-1-y) < 4; rim && black {
					t.Errorf("the rim is black at %d, %d", x, y)
				}
			}
		}
		for _, at := range [][2]int{{4, 4}, {p.Size - 11, 4}, {4, p.Size - 11}} {
			for dy, row := range finder {
				for dx, mark := range row {
					if grid[at[1]+dy][at[0]+dx] != (mark == '#') {
						t.Errorf("no finder pattern at %v", at)
					}
				}
			}
		}
		for x := 12; x < p.Size-12; x++ {
			if black := x%2 == 0; grid[10][x] != black || grid[x][10] != black {
				t.Errorf("the timing pattern breaks at %d", x)
			}
		}
		if version := (p.Size - 8 - 17) / 4; !grid[4+4*version+9][4+8] { // the one mark that is not there when it is mirrored
			t.Error("no dark module")
		}
	}
	if qrOf(strings.Repeat("x", 10000)) != nil {
		t.Error("a text too long for a QR code has one")
	}
}
