package evidence

import (
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"io"
	"strings"
	"unicode/utf8"
)

// templates are the pieces that the page is made of, in the order in which they come.
type templates struct {
	all    *template.Template
	Style  template.CSS
	Script template.JS
	Policy string // lets nothing run but the script, and nothing in from anywhere
}

func parse() (*templates, error) {
	all, err := template.New("").Funcs(template.FuncMap{"under": under, "breakable": breakable}).Parse(pieces)
	sum := sha256.Sum256([]byte(script))
	return &templates{
		all: all, Style: style, Script: script,
		Policy: "default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'; script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'",
	}, err
}

func (t *templates) run(out io.Writer, name string, data any) error {
	return t.all.ExecuteTemplate(out, name, data)
}

// cell is one of a table's, with its column's head: where there is no room for columns, the head is said before it.
type cell struct {
	Head, Says string
	First      bool
}

func under(heads, says []string) []cell {
	all := make([]cell, len(says))
	for n, what := range says {
		all[n] = cell{heads[n], what, n == 0}
	}
	return all
}

// A word with more letters than that may be broken after each so many, where else it would push its table off the page.
const longWord, brokenAfter = 30, 10

// breakable is text for a table's cell, with places at which such words may be broken.
func breakable(text string) template.HTML {
	var out strings.Builder
	for _, word := range strings.SplitAfter(text, " ") {
		letters := []rune(word)
		for len(letters) > brokenAfter && utf8.RuneCountInString(word) > longWord {
			out.WriteString(template.HTMLEscapeString(string(letters[:brokenAfter])) + "<wbr>")
			letters = letters[brokenAfter:]
		}
		out.WriteString(template.HTMLEscapeString(string(letters)))
	}
	return template.HTML(out.String())
}

// pieces are all complete in themselves as far as escaping goes: each begins and ends between elements.
const pieces = `{{define "top"}}<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>{{.Style}}</style>
</head>
<body>
<a class="skip" href="#main">Skip to the evidence</a>
<header>
<h1>{{.Title}}</h1>
<p>{{.About}}</p>
{{template "facts" .Facts}}
</header>
<nav aria-label="Contents">
<ul>{{range .Sections}}
<li><a href="#{{.ID}}">{{.Title}}</a></li>{{end}}
</ul>
</nav>
<form role="search" id="search" hidden>
<label for="words">Show only what has these words: a mark like D-07, a serial number, a name</label>
<input id="words" type="search" autocomplete="off">
<button type="submit">Show</button>
<button type="reset">Show all</button>
<p id="found" role="status"></p>
</form>
<main id="main" tabindex="-1">
{{end}}
{{define "facts"}}{{if .}}<dl>{{range .}}
<div><dt>{{.Name}}</dt><dd>{{.Says}}</dd></div>{{end}}
</dl>{{end}}{{end}}
{{define "section"}}<section aria-labelledby="{{.ID}}">
<h2 id="{{.ID}}">{{.Title}}</h2>
{{if .Says}}<p>{{.Says}}</p>
{{end}}{{end}}
{{define "none"}}<p>{{.None}}</p>
{{end}}
{{define "heads"}}<thead><tr>{{range .}}<th scope="col">{{.}}</th>{{end}}</tr></thead>{{end}}
{{define "table"}}<table>
<caption class="heard">{{.Title}}</caption>
{{template "heads" .Heads}}
<tbody>
{{end}}
{{define "cells"}}{{range .}}{{if .First}}<th scope="row" data-head="{{.Head}}">{{breakable .Says}}</th>{{else}}<td data-head="{{.Head}}">{{breakable .Says}}</td>{{end}}{{end}}{{end}}
{{define "row"}}<tr class="one">{{template "cells" .}}</tr>
{{end}}
{{define "tableend"}}</tbody>
</table>
{{end}}
{{define "record"}}<article class="one" aria-labelledby="{{.ID}}">
<h3 id="{{.ID}}">{{.Title}}</h3>
{{template "facts" .Facts}}
{{range .Tables}}{{if .Rows}}{{$heads := .Heads}}<table>
<caption>{{.Caption}}</caption>
{{template "heads" .Heads}}
<tbody>{{range .Rows}}
<tr>{{template "cells" (under $heads .)}}</tr>{{end}}
</tbody>
</table>
{{end}}{{end}}{{range .Shown}}{{if .Path}}<figure><img src="{{.Path}}" alt="Photo: {{.Of}}" loading="lazy"><figcaption>{{.Of}}</figcaption></figure>
{{else}}<p>Photo: {{.Of}}. No copy of it is in this pack: its kind can't be freed of where it was taken, or its file is damaged or missing. What was sent stays beside the record.</p>
{{end}}{{end}}</article>
{{end}}
{{define "sectionend"}}</section>
{{end}}
{{define "end"}}</main>
<footer><p>End of {{.Title}}.</p></footer>
<script>{{.Script}}</script>
</body>
</html>
{{end}}`

// style is dark on white alone: nothing is said by colour. Text has a contrast of more than 7 to 1 (WCAG 2.2, 1.4.6).
const style = `
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;max-width:75rem;padding:1rem;font:1rem/1.5 system-ui,sans-serif;color:#111;background:#fff}
h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.3rem;margin-top:2.5rem;border-bottom:2px solid #111}h3{font-size:1.05rem}
a{color:#003b8e}
.skip,.heard{position:absolute;left:-999rem}.skip:focus{left:1rem;top:.5rem;padding:.5rem;background:#fff;border:2px solid #111}
:focus-visible{outline:3px solid #003b8e;outline-offset:2px}main:focus{outline:none}
nav ul{columns:14rem;padding-left:1.2rem}
dl{margin:.5rem 0}dl div{display:flex;gap:.5rem}dt{font-weight:bold;flex:0 0 12rem}dd{margin:0;min-width:0;overflow-wrap:anywhere}
table{border-collapse:collapse;width:100%;margin:.75rem 0}
caption{text-align:left;font-weight:bold;padding:.3rem 0}
th,td{border:1px solid #666;padding:.25rem .5rem;text-align:left;vertical-align:top;overflow-wrap:break-word}
thead th{background:#eee}tbody th{font-weight:normal}
article{border-top:1px solid #666;margin-top:1.5rem;content-visibility:auto;contain-intrinsic-size:auto 30rem}
figure{margin:.75rem 0}img{max-width:100%;max-height:30rem;height:auto}
form{margin:1rem 0}input,button{font:inherit;padding:.4rem .6rem}input{border:1px solid #111;max-width:100%}
[hidden]{display:none}
@media screen and (max-width:50rem){dl div{display:block}dd,a,h1,h2,h3,p,caption{overflow-wrap:anywhere}thead{position:absolute;left:-999rem}
tr{display:block;border:1px solid #666;margin:.5rem 0;padding:.25rem .5rem}tr[hidden]{display:none}tbody,td,tbody th{display:block;border:0;padding:0;min-width:0;overflow-wrap:anywhere}tbody th{font-weight:bold}td::before{content:attr(data-head) ": ";font-weight:bold}}
@media print{body{max-width:none;padding:0;font-size:9pt}nav,label,input,button,.skip{display:none}thead{display:table-header-group}tr,figure{break-inside:avoid}h2,h3,caption{break-after:avoid}article{content-visibility:visible}thead th{background:none}img{max-height:10cm}}
`

// script only hides what doesn't have the words that are looked for; without it the page is whole.
const script = `
(function () {
  var form = document.getElementById("search"), words = document.getElementById("words"), found = document.getElementById("found");
  function show(text) {
    var all = document.getElementsByClassName("one"), wanted = text.toLowerCase().split(/\s+/).filter(Boolean), n = 0;
    for (var i = 0; i < all.length; i++) {
      var has = all[i].textContent.toLowerCase();
      var hide = !wanted.every(function (w) { return has.indexOf(w) >= 0; });
      if (all[i].hidden !== hide) { all[i].hidden = hide; }
      if (!hide) { n++; }
    }
    var parts = document.getElementsByTagName("section");
    for (i = 0; i < parts.length; i++) {
      var empty = wanted.length > 0 && !parts[i].querySelector(".one:not([hidden])");
      parts[i].hidden = empty;
      document.querySelector('nav a[href="#' + parts[i].getAttribute("aria-labelledby") + '"]').parentNode.hidden = empty;
    }
    found.textContent = wanted.length ? n + " of " + all.length + " rows and records have these words; the others are hidden." : "";
  }
  form.hidden = false;
  form.addEventListener("submit", function (e) { e.preventDefault(); show(words.value); });
  form.addEventListener("reset", function () { show(""); });
})();
`
