package record

import (
	"context"
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"strings"
	"unicode"

	"scantling/app/sheet"
	"scantling/app/text"
)

// clean is what a maker typed, or a file was called, as a page can hold it: valid text, in which
// what controls something is a space.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case unicode.IsControl(r), r == '\u2028', r == '\u2029', r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069', r == '\ufffe', r == '\uffff':
			return ' ' // marks that turn the direction of what follows, too
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// esc is text of an element or an attribute.
func esc(s string) string { return html.EscapeString(clean(s)) }

// A page is an HTML page that is being written; the first error stays.
type page struct {
	w   io.Writer
	err error
}

func (p *page) put(parts ...string) {
	for _, s := range parts {
		if p.err == nil {
			_, p.err = io.WriteString(p.w, s)
		}
	}
}

// HTML writes the record as one page that needs nothing else: no script, nothing from elsewhere.
// It can be printed on the paper, with the number of each page where the browser has them.
func (r Record) HTML(ctx context.Context, w io.Writer, paper Paper, report func(float64)) error {
	p := &page{w: w}
	p.put("<!DOCTYPE html>\n<html lang=\"", text.RecordLang, "\">\n<head>\n<meta charset=\"utf-8\">\n",
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n",
		"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">\n",
		"<title>", esc(r.Title), "</title>\n<style>\n", style(paper), "</style>\n</head>\n<body>\n<header>\n<h1>", esc(r.Title), "</h1>\n",
		"<p class=\"big\">", esc(r.Big), "</p>\n")
	for _, s := range r.BigSays {
		p.put("<p class=\"says\">", esc(s), "</p>\n")
	}
	p.pairs(r.Facts)
	p.put("</header>\n<main>\n")
	drawn, all := 0, drawings(r)
	for i, s := range r.Sections {
		fmt.Fprintf(p, "<section aria-labelledby=\"s%d\">\n<h2 id=\"s%d\">%s</h2>\n", i+1, i+1, esc(s.Title))
		for k, b := range s.Blocks {
			if err := ctx.Err(); err != nil {
				return err
			}
			p.block(b, fmt.Sprintf("s%db%d", i+1, k+1))
			if b.Drawing != nil {
				drawn++
				report(float64(drawn) / float64(all))
			}
		}
		p.put("</section>\n")
	}
	p.put("</main>\n<footer><p>", esc(r.Foot), "</p></footer>\n</body>\n</html>\n")
	return p.err
}

func drawings(r Record) (n int) {
	for _, s := range r.Sections {
		for _, b := range s.Blocks {
			if b.Drawing != nil {
				n++
			}
		}
	}
	return n
}

// Write is that of io.Writer.
func (p *page) Write(b []byte) (int, error) {
	p.put(string(b))
	return len(b), p.err
}

func (p *page) pairs(rows [][2]string) {
	p.put("<table class=\"pairs\">\n<tbody>\n")
	for _, row := range rows {
		p.put("<tr><th scope=\"row\">", esc(row[0]), "</th><td>", broken(row[1]), "</td></tr>\n")
	}
	p.put("</tbody>\n</table>\n")
}

// broken is text whose lines are kept.
func broken(s string) string { return strings.ReplaceAll(esc(s), "\n", "<br>") }

func (p *page) block(b Block, id string) {
	switch {
	case b.Para != "":
		p.put("<p>", broken(b.Para), "</p>\n")
	case b.List != nil:
		p.put("<ul>\n")
		for _, s := range b.List {
			p.put("<li>", esc(s), "</li>\n")
		}
		p.put("</ul>\n")
	case b.Pairs != nil:
		p.pairs(b.Pairs)
	case b.Table != nil:
		p.table(b.Table)
	case b.Drawing != nil:
		p.drawing(b.Drawing, id)
	}
}

func (p *page) table(t *Table) {
	p.put("<table>\n")
	if t.Caption != "" {
		p.put("<caption>", esc(t.Caption), "</caption>\n")
	}
	p.put("<colgroup>")
	all := 0.0
	for _, s := range t.Shares {
		all += s
	}
	for _, s := range t.Shares {
		fmt.Fprintf(p, "<col style=\"width:%.4g%%\">", 100*s/all)
	}
	p.put("</colgroup>\n<thead>\n<tr>")
	for i, h := range t.Head {
		p.put("<th scope=\"col\"", t.class(i), ">", esc(h), "</th>")
	}
	p.put("</tr>\n</thead>\n<tbody>\n")
	for _, row := range t.Rows {
		p.put("<tr>")
		for i, cell := range row {
			p.put("<td", t.class(i), ">", broken(cell), "</td>")
		}
		p.put("</tr>\n")
	}
	p.put("</tbody>\n</table>\n")
}

func (t *Table) class(i int) string {
	switch {
	case i < len(t.Right) && t.Right[i]:
		return " class=\"n\""
	case i == t.Mono:
		return " class=\"m\""
	}
	return ""
}

// drawing writes the marks as SVG.
func (p *page) drawing(d *Drawing, id string) {
	strokes, err := d.strokes(map[int]bool{})
	if err != nil && p.err == nil {
		p.err = err
	}
	f := d.Field
	fmt.Fprintf(p, "<figure>\n<svg viewBox=\"%s %s %s %s\" role=\"img\" aria-labelledby=\"%s-t %s-d\">\n<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n",
		num(f.Min.X), num(f.Min.Y), num(f.W()), num(f.H()), id, id, id, esc(d.Title), id, esc(d.Says))
	for _, s := range strokes {
		if s.picture != nil {
			b := s.picture.box
			fmt.Fprintf(p, "<image x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" href=\"data:image/png;base64,%s\"/>\n",
				num(b.Min.X), num(b.Min.Y), num(b.W()), num(b.H()), base64.StdEncoding.EncodeToString(s.picture.png))
			continue
		}
		p.mark(s.mark)
	}
	p.put("</svg>\n<figcaption><b>", esc(d.Title), "</b> ", esc(d.Note), "</figcaption>\n</figure>\n")
}

func (p *page) mark(m sheet.Mark) {
	ink := fmt.Sprintf("#%02x%02x%02x", grey(m.Ink), grey(m.Ink), grey(m.Ink))
	switch m.Kind {
	case sheet.Line, sheet.Outline, sheet.Area:
		var at strings.Builder
		for _, q := range m.Points {
			at.WriteString(" " + num(q.X) + "," + num(q.Y))
		}
		name, look := "polygon", "fill=\""+ink+"\""
		if m.Kind != sheet.Area {
			look = "fill=\"none\" stroke=\"" + ink + "\" stroke-width=\"" + num(m.Width) + "\""
			if m.Dashed {
				look += " stroke-dasharray=\"5 4\""
			}
		}
		if m.Kind == sheet.Line {
			name = "polyline"
		}
		fmt.Fprintf(p, "<%s points=\"%s\" %s/>\n", name, strings.TrimSpace(at.String()), look)
	case sheet.Writing:
		look := ""
		switch m.Align {
		case sheet.Centre:
			look = " text-anchor=\"middle\""
		case sheet.End:
			look = " text-anchor=\"end\""
		}
		if m.Bold {
			look += " font-weight=\"bold\""
		}
		if m.Halo {
			look += " stroke=\"#fff\" stroke-width=\"3\" paint-order=\"stroke\""
		}
		if m.Upwards {
			look += " transform=\"rotate(-90 " + num(m.At.X) + " " + num(m.At.Y) + ")\""
		}
		fmt.Fprintf(p, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" fill=\"%s\"%s>%s</text>\n", num(m.At.X), num(m.At.Y), num(m.Size), ink, look, esc(m.Text))
	}
}

// num is a length of a drawing: hundredths of a pixel are finer than any printer.
func num(x float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", x), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// style is the page's look: black on white in any browser, and on paper.
func style(paper Paper) string {
	words := text.RecordPageWords()
	return `@page { size: ` + paper.css() + `; margin: 15mm 13mm 18mm;
  @bottom-right { content: "` + words[0] + `" counter(page) "` + words[1] + `" counter(pages); font: 8pt sans-serif } }
:root { color-scheme: only light }
* { box-sizing: border-box }
body { margin: 0 auto; padding: 1.2rem; max-width: 60rem; background: #fff; color: #000;
  font: 10.5pt/1.4 system-ui, "Noto Sans", "DejaVu Sans", "Liberation Sans", Arial, sans-serif }
h1 { font-size: 1.35em; margin: 0 0 .4em; overflow-wrap: anywhere }
h2 { font-size: 1.15em; margin: 1.6em 0 .5em; border-bottom: 1px solid #000; break-after: avoid }
p { margin: .4em 0; overflow-wrap: anywhere }
.big { font-size: 54pt; line-height: 1.1; font-weight: 700; margin: .1em 0; font-variant-numeric: tabular-nums }
.says { font-size: 1.05em }
table { width: 100%; border-collapse: collapse; margin: .6em 0; font-size: 9pt; table-layout: fixed; font-variant-numeric: tabular-nums }
caption { text-align: left; font-weight: 700; padding: .3em 0 }
th, td { text-align: left; vertical-align: top; padding: .25em .4em; border: 1px solid #777; overflow-wrap: anywhere }
thead { display: table-header-group }
thead th { border-bottom: 2px solid #000; overflow-wrap: normal }
tr { break-inside: avoid }
.pairs th { width: 28%; font-weight: 600 }
.n { text-align: right }
.m { font-family: ui-monospace, "DejaVu Sans Mono", monospace; font-size: 8pt }
figure { margin: 1em 0; break-inside: avoid }
svg { display: block; width: 100%; height: auto; border: 1px solid #000; background: #fff; font-family: inherit }
figcaption { font-size: 9pt; margin-top: .3em }
footer { margin-top: 2em; border-top: 1px solid #000; font-size: 8.5pt }
@media print { body { padding: 0; max-width: none; font-size: 9.5pt } footer { display: none } }
`
}
