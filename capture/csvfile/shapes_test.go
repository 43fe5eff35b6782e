package csvfile

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"handspin/capture"
)

// shape is a text as people make them and what it holds. The rows are written as
// time in seconds, Hall levels, an e for an edge row, and the phase values with -
// for a missing one. They are the text's own cells, rearranged by hand.
type shape struct {
	name, text string
	opt        Options
	rows       string
	// scale is VoltsPerUnit.
	scale float64
	// bad describes the damage without the file's name; notes are in full.
	bad, notes string
}

const (
	volts   = "the phase columns are taken for volts, since the file does not say"
	changes = "each row is taken for a change of the Hall levels, stamped when it happened"
	zeros   = "hall has cells without leading zeros, which are put back: 1 is taken for 001"
	steady  = "the rows are taken for samples, since they come at a steady rate"
)

var shapes = []shape{
	{name: "the format",
		text:  "# handspin-capture: 1\n# volts_per_count: 0.0538\nt_us,hall,p1,p2,p3\n20000,101,514,508,511\n20312,101,515,507,511\n20344,100,,,\n",
		rows:  "0 101 514 508 511\n0.000312 101 515 507 511\n0.000344 100 e - - -",
		scale: 0.0538},
	{name: "sums on rows, either case, one wrong, one missing, and on the names",
		// By hand: '0' ^ ',' ^ '1' ^ ',' ^ '2' is 30^2C^31^2C^32 = 33; for 1,1,5 it is 31^31^35 = 35,
		// for 3,1,3 it is 33^31^33 = 31;
		// the names' was computed with another program.
		text:  "t_us,hall_code,p1*37\n0,1,2*33\n1,1,5*35\n2,1,2.5*00\n3,1,3*31\n4,1,3\n",
		rows:  "0 001 2\n1e-06 001 5\n3e-06 001 3",
		scale: 1, bad: "4:1: the line's sum is wrong|6:1: the row has no sum, though others have: it is torn", notes: volts},
	{name: "a counter that wraps",
		text:  "t_us,hall,p1\n4294967292,101,0.5\n12,101,0.25\n324,101,1\n",
		rows:  "0 101 0.5\n1.6e-05 101 0.25\n0.000328 101 1", // 4294967296 + 12 - 4294967292 = 16
		scale: 1, notes: volts},
	{name: "the board restarts and sends its names again",
		text: "t_us,hall,p1\n9000000,101,1.5\n9000500,101,2\n# handspin-capture: 1\nt_us,hall,p1\n300,100,3\n800,100,4\n",
		rows: "0 101 1.5\n0.0005 101 2\n1.0005 100 3\n1.001 100 4", scale: 1,
		notes: "time starts again once in the file; what follows is put 1 s after what was before|" + volts},
	{name: "segments one after the other",
		text: "t_s,hall,p1\n-0.5,101,1\n0,101,2\n0.5,101,3\n-0.5,100,4\n0,100,5\n",
		rows: "0 101 1\n0.5 101 2\n1 101 3\n2 100 4\n2.5 100 5", scale: 1,
		notes: "time starts again once in the file; what follows is put 1 s after what was before|" + volts},
	{name: "single rows out of time",
		text: "t_us,hall,p1\n1000,101,1\n900,101,2\n2000,101,3\n77000000,101,4\n3000,101,5\n4000,101,6\n4001,101,7\n",
		rows: "0 101 1\n0.001 101 3\n0.002 101 5\n0.003 101 6\n0.003001 101 7", scale: 1, notes: volts,
		bad: "3:1: time runs backward: 900 after 1000|5:1: time is out of line: 77000000 next to 2000"},
	{name: "the first time is torn the other way",
		text: "t_us,hall,p1\n9000,101,1\n100,101,2\n200,101,3\n", rows: "0 101 2\n0.0001 101 3", scale: 1, notes: volts,
		bad: "2:1: time is out of line: 9000 next to 100"},
	{name: "edges in front of samples, as the board sends them; one row of each stream goes back",
		text: "t_us,hall,p1\n20344,100,\n20000,101,1.5\n20312,101,2\n20700,110,\n20936,010,\n20650,111,\n20624,100,3\n20936,010,4\n20900,010,5\n21248,010,6\n21248,011,\n21560,011,7\n",
		rows: "0 101 1.5\n0.000312 101 2\n0.000344 100 e -\n0.000624 100 3\n0.0007 110 e -\n0.000936 010 e -\n0.000936 010 4\n0.001248 011 e -\n0.001248 010 6\n0.00156 011 7",
		bad:  "7:1: time runs backward: 20650 after 20936|10:1: time runs backward: 20900 after 20936", scale: 1, notes: volts},
	{name: "an edge at the time of the sample before it", text: "t_us,hall,p1\n0,101,1.5\n10,100,2\n10,100,\n20,100,3\n", scale: 1, notes: volts,
		rows: "0 101 1.5\n1e-05 100 e -\n1e-05 100 2\n2e-05 100 3"},
	{name: "edges wrap before samples do", // 4294967296 is 0
		text: "t_us,hall,p1\n4294967196,101,\n50,100,\n4294967176,001,1.5\n4294967286,101,2\n70,110,\n10,101,3\n60,100,4\n",
		rows: "0 001 1.5\n2e-05 101 e -\n0.00011 101 2\n0.00013 101 3\n0.00017 100 e -\n0.00018 100 4\n0.00019 110 e -", scale: 1, notes: volts},
	{name: "the first edge is after the wrap, the first samples before",
		text: "t_us,hall,p1\n4,100,\n4294967286,101,1.5\n4294967292,101,2\n9,100,3\n",
		rows: "0 101 1.5\n6e-06 101 2\n1.4e-05 100 e -\n1.9e-05 100 3", scale: 1, notes: volts},
	{name: "an edge two minutes after the last, with a wrap between that the samples show",
		text: "t_us,hall,p1\n4234967296,101,\n4234967297,101,1.5\n4284967296,101,2\n20000000,101,3\n60000000,101,4\n60000010,100,\n",
		rows: "0 101 e -\n1e-06 101 1.5\n50 101 2\n80 101 3\n120 101 4\n120.00001 100 e -", scale: 1, notes: volts},
	{name: "the board restarts, the first edges after that are the first at all",
		text: "t_us,hall,p1\n9000000,101,1.5\n9000500,101,2\nt_us,hall,p1\n350,100,\n420,110,\n300,101,3\n800,110,4\n",
		rows: "0 101 1.5\n0.0005 101 2\n1.0005 101 3\n1.00055 100 e -\n1.00062 110 e -\n1.001 110 4", scale: 1,
		notes: "time starts again once in the file; what follows is put 1 s after what was before|" + volts},
	{name: "the board restarts, with edges before and one after",
		text: "t_us,hall,p1\n9000600,001,\n9000000,101,1.5\n9000500,101,2\n350,100,\n300,101,3\n800,100,4\n",
		rows: "0 101 1.5\n0.0005 101 2\n0.0006 001 e -\n1.0006 101 3\n1.00065 100 e -\n1.0011 100 4", scale: 1,
		notes: "time starts again once in the file; what follows is put 1 s after what was before|" + volts},
	{name: "the other stream tells a lone edge far away, and two edges that go back from a restart",
		text: "t_us,hall,p1\n20000000,101,1\n2000010,101,\n20000312,101,1.5\n20000500,100,\n300000,110,\n20000624,100,2\n300900,110,\n20000936,100,3\n200009600,110,\n20001248,100,4\n",
		rows: "0 101 1\n0.000312 101 1.5\n0.0005 100 e -\n0.000624 100 2\n0.000936 100 3\n0.001248 100 4", scale: 1, notes: volts,
		bad: "3:1: time is out of line: 2000010 next to 20000312|6:1: time runs backward: 300000 after 20000500|" +
			"8:1: time runs backward: 300900 after 20000500|10:1: time is out of line: 200009600 next to 20000500"},
	{name: "an edge too far ahead among edges", text: "t_us,hall,p1\n0,101,\n1,101,1.5\n2000000,100,\n312,101,2\n400,110,\n500,010,\n624,010,3\n",
		rows: "0 101 e -\n1e-06 101 1.5\n0.000312 101 2\n0.0004 110 e -\n0.0005 010 e -\n0.000624 010 3", scale: 1, notes: volts,
		bad: "4:1: time is out of line: 2000000 next to 0"},
	{name: "all samples first, then all edges", text: "t_s,hall,p1\n0,101,1.5\n20,101,2\n40,110,3\n60,110,4\n10,100,\n15,101,\n35,110,\n",
		rows: "0 101 1.5\n10 100 e -\n15 101 e -\n20 101 2\n35 110 e -\n40 110 3\n60 110 4", scale: 1, notes: volts},
	{name: "analogue levels in the order of time",
		// The means are (0+2.4+0)/3 and (5+5)/2: middle 2.9, band 0.15 * 4.2. The 2.4 between them is as low
		// as the row before it in time, not high as the one before it in the file.
		text: "t_us,h1,p1\n0,0,1.5\n20,5,\n10,2.4,2\n30,5,3\n40,0,4\n",
		rows: "0 0xx 1.5\n1e-05 0xx 2\n2e-05 1xx e -\n3e-05 1xx 3\n4e-05 0xx 4", scale: 1,
		notes: "h1 is taken for analogue: it swings from 0.8 to 5; high above 3.53, low below 2.27|" + volts},
	{name: "lines that end in carriage returns alone", text: "\ufeff# volts_per_count: 2\rt_us,hall,p1\r0,101,1\r\r10,1?0,2\r20,100,\r", scale: 2,
		rows: "0 101 1\n2e-05 100 e -", bad: `5:4: hall is not three digits 0 or 1: "1?0"`},
	{name: "leading zeros that a spreadsheet left out",
		// By hand: '6' ^ ',' ^ '1' ^ ',' ^ '5' is 36^2C^31^2C^35 = 32; that of
		// 7,110,6 was computed with another program.
		text: "bench,2nd spin,\nt_us,hall,p1\n0,101,1.5\n1,1,2\n2,10,3\n3,0,4\n4,,5\n5,11,\n6,1,5*32\n7,110,6*31\n8,00,7*00\n9,01\nt_us,hall,p1\n",
		rows: "0 101 1.5\n1e-06 001 2\n2e-06 010 3\n3e-06 000 4\n4e-06 xxx 5\n5e-06 011 e -\n6e-06 001 5\n7e-06 110 6", scale: 1,
		bad: "11:1: the line's sum is wrong|12:1: the row has no sum, though others have: it is torn", notes: zeros + "|" + volts + "|lines before the column names that are not used: 1"},
	{name: "a torn cell is not short of zeros: another row has them", text: "t_us,hall,p1\n0,101,1.5\n1,10,2\n2,001,3\n", rows: "0 101 1.5\n2e-06 001 3", scale: 1,
		bad: `3:3: hall is not three digits 0 or 1: "10"`, notes: volts},
	{name: "nor where other cells are no digits", text: "t_us,hall,p1\n0,1x0,1.5\n1,10,2\n2,101,3\n", rows: "0 1x0 1.5\n2e-06 101 3", scale: 1,
		bad: `3:3: hall is not three digits 0 or 1: "10"`, notes: volts},
	{name: "nor where the row is torn elsewhere too", text: "t_us,hall,p1\n0,101,1.5\n1,10\n2,101,3\n", rows: "0 101 1.5\n2e-06 101 3", scale: 1,
		bad: "3:3: the row has 2 cells, not 3", notes: volts},
	{name: "milliseconds", text: "t_ms,hall,p1\n1.5,101,1\n2,101,2\n", rows: "0 101 1\n0.0005 101 2", scale: 1, notes: volts},
	{name: "time_ms", text: "time_ms,hall,p1\n1.5,101,1\n2,101,2\n", rows: "0 101 1\n0.0005 101 2", scale: 1, notes: volts},
	{name: "time_s, names in any case", text: "TIME_s,Hall,P1\n1.5,101,1\n2,101,2\n", rows: "0 101 1\n0.5 101 2", scale: 1, notes: volts},
	{name: "units in the names", text: "t (ms),hall,p1 [mV],p2 (mV)\n0,101,1500,1\n1,101,-250,2\n", rows: "0 101 1500 1\n0.001 101 -250 2", scale: 0.001},
	{name: "two units of volts", text: "t_s,hall,p1 (mV),p2 (V)\n0,101,1500,1\n1,101,-250,\n", rows: "0 101 1.5 1\n1 101 -0.25 -", scale: 1},
	{name: "a unit row", text: "time,hall,p1,p2\ns,,V,V\n0,101,1,2\n1,101,3,4\n", rows: "0 101 1 2\n1 101 3 4", scale: 1},
	{name: "a unit row in brackets, blank line, semicolons, decimal commas, trailing separator",
		text: "t;hall;p1;\r\n(ms);;(mV);\r\n\r\n-0,25;101;3,14;\r\n0,25;101;-2;\r\n", rows: "0 101 3.14\n0.0005 101 -2", scale: 0.001},
	{name: "micro sign", text: "t (µs),hall,p1\n0,101,1.5\n10,101,2\n", rows: "0 101 1.5\n1e-05 101 2", scale: 1, notes: volts},
	{name: "tabs and decimal commas", text: "t_s\thall\tp1\n0\t101\t0,5\n0,5\t101\t1,25\n", rows: "0 101 0.5\n0.5 101 1.25", scale: 1, notes: volts},
	{name: "tabs and an empty last cell", text: "t_s\thall\tp1\n0\t101\t0.5\n0.5\t100\t\n", rows: "0 101 0.5\n0.5 100 e -", scale: 1, notes: volts},
	{name: "byte order mark, CRLF, quotes and spaces",
		text: "\ufeff\"t_us\" , \"hall\", \"p1\"\r\n 0 , \"101\", \"0,5\" \r\n 10 ,101,1\r\n", rows: "0 101 0.5\n1e-05 101 1", scale: 1, notes: volts},
	{name: "comments, blank and filler lines between rows, no end of the last line",
		text: "\n# a comment\nt_us,hall,p1\n0,101,1\n\n# note: x\n,,\n10,101,2", rows: "0 101 1\n1e-05 101 2", scale: 1, notes: volts},
	{name: "missing values", text: "t_us,hall,p1,p2\n0,101,NaN,1\n1,101,,2\n2,101,-inf,3\n3,101,1.#IND,9.91E+37\n4,,1,1\n",
		rows: "0 101 - 1\n1e-06 101 - 2\n2e-06 101 - 3\n3e-06 101 - -\n4e-06 xxx 1 1", scale: 1, notes: "marks of a value beyond the range where nothing tells which end: 2; they are taken for missing|" + volts},
	{name: "torn and corrupt lines of a serial log",
		text: "312,101,514,5\n# handspin-capture: 1\nt_us,hall,p1,p2\n0,101,1.5,2\n10,10\n20,101,3,420,101,3,4\n30,1\x812,5,6\n40,101,5x,6\n,101,1,1\n50,101,7,8\n60,,,\n70,101,9,1\n# dropped: 3,\n80,101,9,2\n90,101,9,3\n91,100,,\n92,100,9,3\n93,100,9,3\n",
		rows: "0 101 1.5 2\n5e-05 101 7 8\n7e-05 101 9 1\n8e-05 101 9 2\n9e-05 101 9 3\n9.1e-05 100 e - -\n9.2e-05 100 9 3\n9.3e-05 100 9 3", scale: 1, notes: volts,
		bad: `1:1: a row before the column names|5:4: the row has 2 cells, not 4|6:14: the row has 7 cells, not 4|7:4: hall is not three digits 0 or 1: "1\x812"|` +
			`8:8: p1 is not a number: "5x"|9:1: t_us is empty|11:1: the row has neither Hall levels nor phase values|13:12: dropped is not two whole numbers: "3,"`},
	{name: "text before the names", text: "Record Length,100\nSource,CH1\nt_s,hall,p1\n0,101,1\n1,101,2\n", rows: "0 101 1\n1 101 2", scale: 1,
		notes: volts + "|lines before the column names that are not used: 2"},
	{name: "hall_code", text: "t_us,hall_code,p1\n0,4,1.5\n1,6,1\n2,1,1\n3,8,1\n4,,1\n", rows: "0 100 1.5\n1e-06 110 1\n2e-06 001 1\n4e-06 xxx 1", scale: 1, notes: volts,
		bad: `5:3: hall_code is not a whole number from 0 to 7: "8"`},
	{name: "three digital columns", text: "t_us,h1,h2,h3,p1\n0,1,0,1,1.5\n10,1,0,0,2\n12,1,1,0,\n", rows: "0 101 1.5\n1e-05 100 2\n1.2e-05 110 e -", scale: 1, notes: volts},
	{name: "two digital columns", text: "t_us,h3,h1,p1\n0,1,0,1.5\n10,,1,2\n", rows: "0 0x1 1.5\n1e-05 1xx 2", scale: 1, notes: volts},
	{name: "no Hall column", text: "t_us,p1\n0,1.5\n10,2\n", rows: "0 xxx 1.5\n1e-05 xxx 2", scale: 1, notes: volts},
	{name: "analogue columns, with hysteresis; h3 idles high",
		// h2 has the levels 0 and 5: middle 2.5, band 0.15 * 5. h1 has the means (0+0+2+0+0)/5 and
		// (5+5+5+3)/4: middle 2.45, band 0.15 * 4.1; its 2 and 3 are between and stay high. The mean
		// of the two middles is 2.475.
		text:  "t_us,h1,h2,h3,p1\n0,0,5,4.9,1\n1,0,5,4.9,1\n2,5,5,4.9,1\n3,5,0,4.9,1\n4,2,0,4.9,1\n5,0,0,4.9,1\n6,0,0,4.9,1\n7,5,5,4.9,1\n8,3,0,4.9,1\n",
		rows:  "0 011 1\n1e-06 011 1\n2e-06 111 1\n3e-06 101 1\n4e-06 101 1\n5e-06 001 1\n6e-06 001 1\n7e-06 111 1\n8e-06 101 1",
		scale: 1, notes: "h1 is taken for analogue: it swings from 0.4 to 4.5; high above 3.06, low below 1.84|h2 is taken for analogue: it swings from 0 to 5; high above 3.25, low below 1.75|" +
			"h3 does not swing; it is taken for high, since the others change at 2.48|" + volts},
	{name: "nothing swings", text: "t_us,h1,h2,h3\n0,5,4.99,5\n10,4.99,5,5\n20,5,5,4.99\n", rows: "0 xxx\n1e-05 xxx\n2e-05 xxx",
		notes: "h1 does not swing and nothing tells its level|h2 does not swing and nothing tells its level|h3 does not swing and nothing tells its level|" + steady},
	{name: "differences, out of order", text: "t_us,hall,p31,p12\n0,101,1.5,2\n10,101,3,4\n", rows: "0 101 2 1.5\n1e-05 101 4 3", scale: 1, notes: volts},
	{name: "counts of unknown size", text: "t_us,hall,p1\n0,101,500\n10,101,561\n", rows: "0 101 500\n1e-05 101 561", scale: 0,
		notes: "the phase columns are taken for counts whose size in volts is not known; give it as # volts_per_count: VOLTS"},
	{name: "whole volts", text: "t_us,hall,p1\n0,101,500\n10,101,560\n", rows: "0 101 500\n1e-05 101 560", scale: 1, notes: volts},
	{name: "scale that is said to be unknown", text: "# volts_per_count: 0\nt_us,hall,p1\n0,101,500\n10,101,560\n", rows: "0 101 500\n1e-05 101 560", scale: 0},
	{name: "changes only, at a steady rate", text: "t_us,hall\n0,101\n10,100\n20,110\n30,010\n", rows: "0 101 e\n1e-05 100 e\n2e-05 110 e\n3e-05 010 e", notes: changes},
	{name: "changes of other lines too", text: "t_us,hall\n0,101\n100,100\n120,100\n300,010\n", rows: "0 101 e\n0.0001 100 e\n0.00012 100 e\n0.0003 010 e", notes: changes},
	{name: "Hall samples", text: "t_us,hall\n0,101\n100,101\n204,101\n300,100\n", rows: "0 101\n0.0001 101\n0.000204 101\n0.0003 100", notes: steady},
	{name: "columns by name", text: "Time,CH1,CH2,D0,junk\n0,1.5,2,1,x\n0.5,3,4,0,y\n",
		opt:  Options{Columns: "t=time:s, h1=d0 ,p2=CH1:V,p1=ch2:mV"},
		rows: "0 1xx 0.002 1.5\n0.5 0xx 0.004 3", scale: 1},
	{name: "columns by number, no names", text: "0;101;1,5\n1;101;2\n", opt: Options{Columns: "t=1:ms,hall=2,p1=3"}, rows: "0 101 1.5\n0.001 101 2", scale: 1, notes: volts},
	{name: "one column by number", text: "1.5,7\n2,7\n", opt: Options{Columns: "p1=1", SampleRate: 2}, rows: "0 xxx 1.5\n0.5 xxx 2", scale: 1, notes: volts},
	{name: "columns by number, with names", text: "# x\nTime (ms),CH1\n0,1.5\n1,2\n", opt: Options{Columns: "t=1,p12=2"}, rows: "0 xxx 1.5\n0.001 xxx 2", scale: 1, notes: volts},
	{name: "columns by name without its unit, nanoseconds", text: "Time (ns),CH1 (V)\n0,1.5\n500,2\n", opt: Options{Columns: "t=time,p1=ch1"}, rows: "0 xxx 1.5\n5e-07 xxx 2", scale: 1},
	{name: "hall code by name", text: "s,c\n0,5\n1,4\n", opt: Options{Columns: "t=s:s,hall_code=c"}, rows: "0 101 e\n1 100 e", notes: changes},
	{name: "sample rate, a damaged row takes its time", text: "hall,p1\n101,1.5\n1y1,1\n101,2\n100,\n", opt: Options{SampleRate: 4}, rows: "0 101 1.5\n0.5 101 2\n0.75 100 -", scale: 1, notes: volts,
		bad: `3:1: hall is not three digits 0 or 1: "1y1"`},
	{name: "sample rate instead of a rounded time", text: "t_s,hall,p1\n0,101,1.5\n0,101,2\n", opt: Options{SampleRate: 4}, rows: "0 101 1.5\n0.25 101 2", scale: 1,
		notes: `the time column "t_s" is not used, the sample rate is given|` + volts},
	{name: "exponents", text: "t_s,hall,p1\n+1.0E+00,101,-1.5e-1\n+1.5E+00,101,2E0\n", rows: "0 101 -0.15\n0.5 101 2", scale: 1, notes: volts},
}

func TestShapes(t *testing.T) {
	for _, s := range shapes {
		t.Run(s.name, func(t *testing.T) {
			rec, err := Read(strings.NewReader(s.text), "f", s.opt)
			if err != nil {
				t.Fatal(err)
			}
			if got := printRows(rec); got != s.rows {
				t.Errorf("rows\n%s\nwant\n%s", got, s.rows)
			}
			if rec.VoltsPerUnit != s.scale {
				t.Errorf("%g V per unit, want %g", rec.VoltsPerUnit, s.scale)
			}
			var bad []string
			for _, d := range rec.Damage {
				bad = append(bad, strings.TrimPrefix(d.Error(), "f:"))
			}
			if got := strings.Join(bad, "|"); got != s.bad || rec.BadRows != len(bad) {
				t.Errorf("%d bad rows\n%s\nwant\n%s", rec.BadRows, got, s.bad)
			}
			if got := strings.Join(rec.Notes, "|"); got != s.notes {
				t.Errorf("notes\n%s\nwant\n%s", got, s.notes)
			}
		})
	}
}

func printRows(rec *capture.Recording) string {
	var lines []string
	for i, t := range rec.Time {
		cells := []string{strconv.FormatFloat(t, 'g', -1, 64), rec.Hall[i].String()}
		if rec.Edge[i] {
			cells = append(cells, "e")
		}
		for _, c := range rec.Columns {
			cell := "-"
			if !math.IsNaN(c.Value[i]) {
				cell = strconv.FormatFloat(c.Value[i], 'g', -1, 64)
			}
			cells = append(cells, cell)
		}
		lines = append(lines, strings.Join(cells, " "))
	}
	return strings.Join(lines, "\n")
}
