//! The build sheet as one HTML file for a tablet: works without a network, keeps what
//! was ticked and written in the browser's own store, prints too.
//!
//! No text of the scene becomes markup or script: it is escaped everywhere. What was
//! ticked is kept by the sheet's own key, so that two sheets do not mix; a sheet whose
//! rows changed starts anew.

use super::xml::Escaped;
use super::{Meta, Page, svg};
use crate::paper::sheet::{Block, BuildSheet, Picture, Rows};
use crate::view::palette::Palette;
use std::fmt::Write;

/// Everything that is touched is at least 44 px high (WCAG 2.2, 2.5.5, from memory).
const STYLE: &str = "\
:root{color-scheme:light}*{box-sizing:border-box}html{scroll-padding-top:4rem}\
body{font:16px/1.4 system-ui,sans-serif;color:#000;background:#fff;margin:0 auto;max-width:70rem;padding:1rem}\
h1{font-size:1.6rem;margin:.2rem 0}h2{font-size:1.25rem;border-bottom:2px solid #000;margin:1.8rem 0 .6rem}\
h3{font-size:1rem;margin:1rem 0 .3rem}\
nav{display:flex;flex-wrap:wrap;gap:0 1.2rem;margin:.6rem 0}nav a{color:#000;display:flex;align-items:center;min-height:44px}\
.wide{overflow-x:auto}table{border-collapse:collapse;width:100%}\
th,td{border-bottom:1px solid #666;padding:.45rem .5rem;text-align:left;vertical-align:top}\
thead th{border-bottom:2px solid #000}.figure{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}th.figure{white-space:normal}\
input[type=checkbox]{width:1.6rem;height:1.6rem;margin:0;flex:none;accent-color:#000}\
td.tick{padding:0;width:44px}td.tick label{display:flex;justify-content:center;padding-top:.5rem;min-width:44px;min-height:44px}\
tr.done td,li.done span{text-decoration:line-through;color:#555}\
input[type=text]{width:100%;min-width:9rem;min-height:44px;font:inherit;padding:.3rem;border:1px solid #000;background:#fff;color:#000}\
.caution{border:2px solid #000;border-left-width:.7rem;padding:.5rem .8rem;margin:.6rem 0}\
.caution b{text-transform:uppercase;margin-right:.4rem}\
.ticks{list-style:none;padding:0;margin:.4rem 0}.ticks label{display:flex;gap:.7rem;padding:.55rem 0;min-height:44px}\
.pictures{display:flex;flex-wrap:wrap;gap:1rem 2rem}figure{margin:0}figcaption{font-weight:bold;max-width:20rem}\
figure svg{max-width:100%;height:auto}\
#state{position:sticky;top:0;z-index:1;background:#fff;padding:.5rem 0;border-bottom:1px solid #666;display:flex;gap:1rem;align-items:center;justify-content:space-between}\
button{font:inherit;padding:.4rem 1.2rem;min-height:44px;background:#fff;color:#000;border:1px solid #000;border-radius:4px}\
@media(max-width:900px){body{font-size:15px;padding:.7rem}th,td{padding:.4rem .3rem}}\
@page{margin:12mm}\
@media print{#state,nav{display:none}body{max-width:none;padding:0;font-size:9pt}h1{font-size:16pt}h2{font-size:12pt;break-after:avoid}\
h3{font-size:10pt;break-after:avoid}p{margin:.3rem 0}th,td{padding:.12rem .25rem}.wide{overflow:visible}tr,figure,.caution,li{break-inside:avoid}\
input[type=checkbox]{width:9pt;height:9pt}td.tick{width:16pt}td.tick label{min-width:0;min-height:0;padding-top:2pt}\
.ticks label{min-height:0;padding:.1rem 0}\
input[type=text]{min-height:0;min-width:0;height:16pt;border:0;border-bottom:1px solid #000;padding:0}.caution{padding:.15rem .5rem;margin:.25rem 0;border-width:1px;border-left-width:.5rem}}";

/// Keeps ticks and written values. The store may be closed to files from a disk; then
/// the sheet says so and still ticks.
const SCRIPT: &str = "\
(function(){'use strict';\
var key=document.body.dataset.key,all=document.querySelectorAll('input'),kept={},open=true;\
try{kept=JSON.parse(localStorage.getItem(key))||{};}catch(e){open=false;}\
function count(){var n=0,of=0;all.forEach(function(b){if(b.type==='checkbox'){of++;if(b.checked)n++;\
var r=b.closest('tr,li');if(r)r.classList.toggle('done',b.checked);}});\
document.getElementById('count').textContent=n+' of '+of+' done'+(open?'':' (this browser keeps nothing: do not close the page)');}\
function save(){try{localStorage.setItem(key,JSON.stringify(kept));}catch(e){open=false;}count();}\
all.forEach(function(b){var tick=b.type==='checkbox',was=kept[b.id];\
if(was!==undefined){if(tick)b.checked=was===true;else b.value=String(was);}\
b.addEventListener(tick?'change':'input',function(){kept[b.id]=tick?b.checked:b.value;save();});});\
document.getElementById('anew').addEventListener('click',function(){\
if(confirm('Clear all ticks and written values of this sheet?')){kept={};all.forEach(function(b){b.checked=false;if(b.type==='text')b.value='';});save();}});\
count();})();";

/// The sheet as an HTML document.
pub fn write(sheet: &BuildSheet, palette: &Palette) -> String {
    let mut body = String::new();
    let mut fields = 0;
    put(
        &mut body,
        format_args!("<h1>Build sheet: {}</h1>\n", Escaped(&sheet.title)),
    );
    put(
        &mut body,
        format_args!("<p>{}</p>\n", Escaped(&sheet.subtitle)),
    );
    body.push_str("<div id=\"state\"><span id=\"count\" role=\"status\"></span> <button id=\"anew\" type=\"button\">Clear</button></div>\n<nav>");
    for section in &sheet.sections {
        put(
            &mut body,
            format_args!("<a href=\"#{}\">{}</a>", section.id, Escaped(section.title)),
        );
    }
    body.push_str("</nav>\n");
    for section in &sheet.sections {
        put(
            &mut body,
            format_args!(
                "<section>\n<h2 id=\"{}\">{}</h2>\n",
                section.id,
                Escaped(section.title)
            ),
        );
        for block in &section.blocks {
            one(&mut body, block, &mut fields, palette);
        }
        body.push_str("</section>\n");
    }
    let mut out = String::with_capacity(body.len() + 8192);
    out.push_str("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    out.push_str("<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n");
    // Nothing may be loaded from anywhere.
    out.push_str("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'\">\n");
    put(
        &mut out,
        format_args!("<title>Build sheet: {}</title>\n", Escaped(&sheet.title)),
    );
    put(&mut out, format_args!("<style>{STYLE}</style>\n</head>\n"));
    put(
        &mut out,
        format_args!(
            "<body data-key=\"closefit-{:016x}\">\n",
            hash(body.as_bytes())
        ),
    );
    out.push_str(&body);
    put(
        &mut out,
        format_args!("<script>{SCRIPT}</script>\n</body>\n</html>\n"),
    );
    out
}

fn put(out: &mut String, args: std::fmt::Arguments<'_>) {
    out.write_fmt(args)
        .expect("writing to a string cannot fail");
}

/// FNV-1a, 64 bits: names the sheet in the browser's store.
fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |h, b| {
        (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3)
    })
}

fn one(out: &mut String, block: &Block, fields: &mut usize, palette: &Palette) {
    match block {
        Block::Note(words) => put(out, format_args!("<p>{}</p>\n", Escaped(words))),
        Block::Caution(words) => put(
            out,
            format_args!(
                "<p class=\"caution\"><b>Caution</b>{}</p>\n",
                Escaped(words)
            ),
        ),
        Block::Heading(words) => put(out, format_args!("<h3>{}</h3>\n", Escaped(words))),
        Block::Rows(rows) => table(out, rows, fields),
        Block::Ticks(lines) => {
            out.push_str("<ul class=\"ticks\">\n");
            for line in lines {
                *fields += 1;
                put(
                    out,
                    format_args!(
                        "<li><label><input type=\"checkbox\" id=\"f{fields}\"><span>{}</span></label></li>\n",
                        Escaped(line)
                    ),
                );
            }
            out.push_str("</ul>\n");
        }
        Block::Pictures(pictures) => {
            out.push_str("<div class=\"pictures\">\n");
            for picture in pictures {
                figure(out, picture, palette);
            }
            out.push_str("</div>\n");
        }
    }
}

fn table(out: &mut String, rows: &Rows, fields: &mut usize) {
    out.push_str("<div class=\"wide\"><table>\n<thead><tr>");
    if rows.tick {
        out.push_str("<th>done</th>");
    }
    for head in &rows.heads {
        let class = if head.figure { " class=\"figure\"" } else { "" };
        put(
            out,
            format_args!("<th{class}>{}</th>", Escaped(&head.title)),
        );
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in &rows.rows {
        out.push_str("<tr>");
        let name = row.first().map_or("", String::as_str);
        if rows.tick {
            *fields += 1;
            put(
                out,
                format_args!(
                    "<td class=\"tick\"><label><input type=\"checkbox\" id=\"f{fields}\" aria-label=\"done: {}\"></label></td>",
                    Escaped(name)
                ),
            );
        }
        for (cell, head) in row.iter().zip(&rows.heads) {
            if head.blank {
                *fields += 1;
                put(
                    out,
                    format_args!(
                        "<td><input type=\"text\" id=\"f{fields}\" aria-label=\"{}: {}\"></td>",
                        Escaped(name),
                        Escaped(&head.title)
                    ),
                );
            } else {
                let class = if head.figure { " class=\"figure\"" } else { "" };
                put(out, format_args!("<td{class}>{}</td>", Escaped(cell)));
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table></div>\n");
}

/// A picture as markup of its own; its frame grows by the lettering that stands out.
fn figure(out: &mut String, picture: &Picture, palette: &Palette) {
    put(
        out,
        format_args!(
            "<figure><figcaption>{}</figcaption>\n",
            Escaped(&picture.caption)
        ),
    );
    let Ok(page) = Page::new(picture.size[0] + 4.0, picture.size[1] + 4.0) else {
        out.push_str("</figure>\n");
        return;
    };
    let list = picture
        .list
        .mapped(crate::view::list::Affine::shift(2.0, 2.0));
    let meta = Meta {
        title: picture.caption.clone(),
        description: picture.caption.clone(),
    };
    let svg = svg::write(&list, page, palette, &meta, svg::Font::Named);
    // The ids of a picture's own title would stand in the document more than once.
    let svg = svg
        .replacen(" aria-labelledby=\"title description\"", "", 1)
        .replacen("<title id=\"title\">", "<title>", 1)
        .replacen("<desc id=\"description\">", "<desc>", 1);
    out.push_str(&svg);
    out.push_str("</figure>\n");
}
