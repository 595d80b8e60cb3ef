//! Documents typeset together: what stands in several files is laid out once.

use super::binding::{Folded, bind, own_name};
use super::trouble::{Sort, Trouble};
use super::world::{self, View};
use super::{DocumentSpec, Kind, Overseer, PageLook, Press, Typeset, compact, trouble, troubles};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::borrow::Borrow;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use typst::foundations::{Bytes, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

/// After so many documents what is no longer used is let go: looking through all that is remembered takes as long as a page.
const TOGETHER: usize = 5;
/// So often it may go unused.
const REMEMBERED: usize = 1;

/// What is said of a pack whose sheet was lost on the way: nothing that a teacher can mend.
const NOT_LAID_OUT: &str = "a sheet of this pack was not laid out";

/// How many times more a course is printed until what was not used is let go.
const ROUNDS: usize = 2;

/// Something to lay out: a document, or a sheet of a pack.
struct Piece<'d> {
    template: &'d str,
    title: &'d str,
    look: &'d PageLook,
    data: &'d Value,
    photographs: &'d BTreeMap<String, Arc<[u8]>>,
    fold: u32,
}

/// What was laid out, and what the teacher should know of it.
struct Laid {
    pages: PagedDocument,
    warnings: Vec<Trouble>,
}

type Outcome<T> = Result<T, Vec<Trouble>>;

impl<'d> Piece<'d> {
    fn of(doc: &'d DocumentSpec) -> Piece<'d> {
        Piece {
            template: &doc.template,
            title: &doc.title,
            look: &doc.look,
            data: &doc.data,
            photographs: &doc.photographs,
            fold: doc.fold,
        }
    }

    /// The sheets of a pack, in their order.
    fn bound(doc: &'d DocumentSpec) -> Vec<Piece<'d>> {
        if doc.template != Kind::Pack.word() {
            return Vec::new();
        }
        let sheets: Vec<&Value> = sheets_of(&doc.data).iter().filter(|s| is_sheet(s)).collect();
        // One file cannot hold two of the same fold.
        let number = |fold: &Value| u32::try_from(fold.as_u64().unwrap_or_default()).unwrap_or_default();
        let folds: Vec<u32> = sheets.iter().map(|s| number(&s["fold"])).collect();
        let apart = folds.iter().enumerate().all(|(n, fold)| !folds[..n].contains(fold));
        let pieces = sheets.into_iter().zip(folds).zip(0..).map(|((sheet, fold), n)| Piece {
            template: sheet["data"]["kind"].as_str().unwrap_or_default(),
            title: sheet["title"].as_str().unwrap_or_default(),
            look: &doc.look,
            data: &sheet["data"],
            photographs: &doc.photographs,
            fold: if apart { fold } else { n },
        });
        pieces.collect()
    }

    /// All that its pages come from, in short.
    fn key(&self) -> u128 {
        let photographs: Vec<(&String, usize)> =
            self.photographs.iter().map(|(name, bytes)| (name, bytes.as_ptr() as usize)).collect();
        let look = format!("{:?}", self.look);
        let all = (self.template, self.title, look, self.data.to_string(), photographs, self.fold);
        typst::utils::hash128(&all)
    }
}

/// A piece that is wanted: by which documents, alone; and whether a pack wants it.
struct Wanted<'d> {
    piece: Piece<'d>,
    first: usize,
    alone: Vec<usize>,
    bound: bool,
}

impl<'d> Wanted<'d> {
    fn new(piece: Piece<'d>, first: usize) -> Wanted<'d> {
        Wanted { piece, first, alone: Vec::new(), bound: false }
    }
}

/// A pack: which document it is, and what its sheets are known by.
type Pack = (usize, Vec<u128>);

/// What there is to lay out, each once, in an order in which one has most from its neighbours; and the packs.
fn wanted<'d>(docs: &[&'d DocumentSpec]) -> (Vec<(u128, Wanted<'d>)>, Vec<Pack>) {
    let mut wanted: BTreeMap<u128, Wanted> = BTreeMap::new();
    let mut packs = Vec::new();
    for (n, doc) in docs.iter().enumerate() {
        let bound = Piece::bound(doc);
        if bound.is_empty() {
            let piece = Piece::of(doc);
            wanted.entry(piece.key()).or_insert_with(|| Wanted::new(piece, n)).alone.push(n);
            continue;
        }
        let keys = bound.into_iter().map(|piece| {
            let key = piece.key();
            wanted.entry(key).or_insert_with(|| Wanted::new(piece, n)).bound = true;
            key
        });
        packs.push((n, keys.collect()));
    }
    let mut queue: Vec<(u128, Wanted)> = wanted.into_iter().collect();
    queue.sort_by_key(|(key, w)| (w.piece.template, w.piece.fold, w.first, *key));
    (queue, packs)
}

impl Press {
    /// Typesets one document.
    ///
    /// # Errors
    /// All errors of its template, with their places; the other documents are none the worse.
    pub fn typeset(&self, doc: &DocumentSpec) -> Outcome<Typeset> {
        self.typeset_all(&[doc]).pop().unwrap_or_else(|| Err(Vec::new()))
    }

    /// Typesets many documents in parallel; the results stand in the order of the documents.
    pub fn typeset_all<D: Borrow<DocumentSpec> + Sync>(&self, docs: &[D]) -> Vec<Outcome<Typeset>> {
        self.typeset_watched(docs, &super::Unseen)
    }

    /// The same, telling an overseer what begins and ends, from whichever thread does it.
    pub fn typeset_watched<D: Borrow<DocumentSpec> + Sync>(
        &self,
        docs: &[D],
        overseer: &dyn Overseer,
    ) -> Vec<Outcome<Typeset>> {
        let docs: Vec<&DocumentSpec> = docs.iter().map(Borrow::borrow).collect();
        let (queue, packs) = wanted(&docs);
        let watched = |template: &str, work: &dyn Fn() -> Vec<(usize, Outcome<Typeset>)>| {
            let template = format!("templates/{template}.typ");
            overseer.begins(&template);
            let done = work();
            overseer.ends(&template);
            done.iter().for_each(|_| overseer.done());
            done
        };
        let laid_out = AtomicUsize::new(0);
        // Each to whoever is free: no core waits for what another began last.
        let laid: Vec<_> = queue
            .into_iter()
            .par_bridge()
            .map(|(key, wanted)| {
                let laid = std::cell::OnceCell::new();
                let alone = watched(wanted.piece.template, &|| {
                    let laid = laid.get_or_init(|| self.lay_out(&wanted.piece));
                    let file = |n: &usize| {
                        (*n, laid.as_ref().map_err(Vec::clone).and_then(|l| self.export(docs[*n], l)))
                    };
                    wanted.alone.iter().map(file).collect()
                });
                self.forget(&laid_out);
                (key, laid.into_inner().filter(|_| wanted.bound), alone)
            })
            .collect();
        let mut done: Vec<(usize, Outcome<Typeset>)> = Vec::new();
        let mut sheets: BTreeMap<u128, Outcome<Laid>> = BTreeMap::new();
        for (key, kept, alone) in laid {
            sheets.extend(kept.map(|kept| (key, kept)));
            done.extend(alone);
        }
        let packs: Vec<_> = packs
            .par_iter()
            .flat_map_iter(|(n, keys)| {
                let doc = docs[*n];
                // One for each key, in their order: of a sheet that is not there nothing may take the place.
                let missing = || vec![Trouble::plain(Sort::TemplateError, NOT_LAID_OUT.to_owned())];
                let sheets: Vec<Outcome<&Laid>> = keys
                    .iter()
                    .map(|key| {
                        sheets.get(key).map_or_else(|| Err(missing()), |s| s.as_ref().map_err(Vec::clone))
                    })
                    .collect();
                let done = watched(&doc.template, &|| vec![(*n, self.pack(doc, &sheets))]);
                self.forget(&laid_out);
                done
            })
            .collect();
        done.extend(packs);
        if self.lasting && docs.len() > 1 {
            typst::comemo::evict(ROUNDS);
        }
        done.sort_by_key(|(at, _)| *at);
        done.into_iter().map(|(_, done)| done).collect()
    }

    /// What the typesetter remembers of a document serves its neighbours, and is then let go: kept until the last one, it fills
    /// the memory of a small laptop.
    fn forget(&self, laid_out: &AtomicUsize) {
        if !self.lasting && laid_out.fetch_add(1, Ordering::Relaxed) % TOGETHER == TOGETHER - 1 {
            typst::comemo::evict(REMEMBERED);
        }
    }

    /// What a template of this document receives, and what could not be printed of it. For a pack its sheets are laid out: it is
    /// told how many pages each has, and an overseer hears of each.
    pub fn data(&self, doc: &DocumentSpec, overseer: &dyn Overseer) -> (Value, Vec<Trouble>) {
        let lay_out = |piece: &Piece| {
            let template = format!("templates/{}.typ", piece.template);
            overseer.begins(&template);
            let laid = self.lay_out(piece);
            overseer.ends(&template);
            laid
        };
        let laid: Vec<Outcome<Laid>> = Piece::bound(doc).iter().map(lay_out).collect();
        if laid.is_empty() {
            return self.data_file(&doc.title, &doc.look, &doc.data);
        }
        let told: Vec<Option<Told>> = laid.iter().map(|laid| laid.as_ref().ok().map(Told::of)).collect();
        self.data_file(&doc.title, &doc.look, &of_pack(&doc.data, &told))
    }

    fn lay_out(&self, piece: &Piece) -> Outcome<Laid> {
        let path = format!("templates/{}.typ", piece.template);
        let main = world::file_id(&path).filter(|_| self.store.file(&path).is_some()).ok_or_else(|| {
            vec![Trouble::plain(
                Sort::TemplateError,
                format!("there is no template \"{}\" ({path})", piece.template),
            )]
        })?;
        let (data, mut warnings) = self.data_file(piece.title, piece.look, piece.data);
        let view = View {
            store: &self.store,
            main,
            data: Bytes::from_string(data.to_string()),
            photographs: piece.photographs,
            fold: piece.fold,
        };
        let compiled = typst::compile::<Folded>(&view);
        warnings.extend(compiled.warnings.iter().map(|d| trouble(Sort::TemplateWarning, &view, d)));
        let Folded(pages) = compiled.output.map_err(|e| troubles(&view, &e))?;
        Ok(Laid { pages, warnings })
    }

    fn export(&self, doc: &DocumentSpec, laid: &Laid) -> Outcome<Typeset> {
        let standards = PdfStandards::new(&[PdfStandard::Ua_1])
            .map_err(|e| vec![Trouble::plain(Sort::TemplateError, e.message().to_string())])?;
        let options = PdfOptions {
            ident: Smart::Custom(doc.ident.clone()),
            creator: Smart::Custom(Some("benchroll".to_owned())),
            timestamp: None,
            page_ranges: None,
            standards,
            tagged: true,
            pretty: false,
        };
        let pdf = typst_pdf::pdf(&laid.pages, &options).map_err(|e| {
            let main = world::file_id(&format!("templates/{}.typ", doc.template));
            // The places are in the templates; what they received is not asked for.
            main.map_or_else(Vec::new, |main| {
                let (data, photographs) = (Bytes::new([]), &doc.photographs);
                troubles(&View { store: &self.store, main, data, photographs, fold: doc.fold }, &e)
            })
        })?;
        let mut warnings = laid.warnings.clone();
        warnings.sort();
        warnings.dedup();
        Ok(Typeset { pdf: compact::compact(pdf), pages: laid.pages.pages().len(), warnings })
    }

    /// A pack of sheets that were laid out before.
    fn pack(&self, doc: &DocumentSpec, sheets: &[Outcome<&Laid>]) -> Outcome<Typeset> {
        let errors: Vec<Trouble> =
            sheets.iter().filter_map(|s| s.as_ref().err()).flatten().cloned().collect();
        if !errors.is_empty() {
            return Err(errors);
        }
        let sheets: Vec<&Laid> = sheets.iter().filter_map(|s| s.as_ref().ok().copied()).collect();
        let told: Vec<Option<Told>> = sheets.iter().map(|laid| Some(Told::of(laid))).collect();
        let data = of_pack(&doc.data, &told);
        let mut laid = self.lay_out(&Piece { data: &data, fold: u32::MAX, ..Piece::of(doc) })?;
        let pages: Vec<&PagedDocument> = sheets.iter().map(|sheet| &sheet.pages).collect();
        laid.pages = bind(&laid.pages, &pages);
        laid.warnings.extend(sheets.iter().flat_map(|sheet| sheet.warnings.iter().cloned()));
        self.export(doc, &laid)
    }
}

/// The entries of a pack's data.
fn sheets_of(pack: &Value) -> &[Value] {
    pack["sheets"].as_array().map(Vec::as_slice).unwrap_or_default()
}

/// Whether an entry holds a sheet to lay out.
fn is_sheet(entry: &Value) -> bool {
    entry["data"].is_object()
}

/// What a pack's template is told of a sheet that is laid out.
#[derive(Clone)]
struct Told {
    /// What it calls itself.
    title: Option<String>,
    pages: usize,
}

impl Told {
    fn of(laid: &Laid) -> Told {
        Told { title: own_name(&laid.pages), pages: laid.pages.pages().len() }
    }
}

/// What a pack's template receives: of each sheet what it calls itself, and how many pages it has; not what it is made from. `laid`
/// holds one for each entry that is a sheet, in their order, and `None` for one that could not be laid out. Whatever it holds, no
/// entry is dropped: one of which nothing was laid out is told with no pages.
fn of_pack(data: &Value, laid: &[Option<Told>]) -> Value {
    let mut laid = laid.iter();
    let sheets: Vec<Value> = sheets_of(data)
        .iter()
        .map(|sheet| {
            let told = if is_sheet(sheet) { laid.next().and_then(Option::as_ref) } else { None };
            let own = told.and_then(|told| told.title.clone()).map(Value::from);
            let pages = told.map_or(0, |told| told.pages);
            json!({ "title": own.as_ref().unwrap_or(&sheet["title"]), "kind": sheet["data"]["kind"], "pages": pages, "fold": sheet["fold"] })
        })
        .collect();
    let others = data.as_object().into_iter().flatten().filter(|(key, _)| *key != "sheets");
    let mut all: serde_json::Map<String, Value> =
        others.map(|(key, value)| (key.clone(), value.clone())).collect();
    all.insert("sheets".to_owned(), Value::Array(sheets));
    Value::Object(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pack_tells_of_every_entry_whatever_was_laid_out() {
        let sheet = |title: &str| json!({ "title": title, "data": { "kind": "roll" }, "fold": 0 });
        let empty = json!({ "title": "no sheet", "data": null, "fold": 0 });
        let data = json!({ "kind": "pack", "sheets": [empty, sheet("one"), sheet("two")] });
        let told = |title: Option<&str>, pages| Some(Told { title: title.map(str::to_owned), pages });
        let of = |laid: &[Option<Told>]| {
            let pack = of_pack(&data, laid);
            assert_eq!((&pack["kind"], sheets_of(&pack)[1]["kind"].as_str()), (&data["kind"], Some("roll")));
            let all = sheets_of(&pack).iter().map(|s| {
                (s["title"].as_str().unwrap_or_default().to_owned(), s["pages"].as_u64().unwrap_or_default())
            });
            all.collect::<Vec<_>>()
        };
        let entries = |all: [(&str, u64); 3]| all.map(|(title, pages)| (title.to_owned(), pages)).to_vec();
        // The entry that holds no sheet takes nothing from those that do.
        assert_eq!(
            of(&[told(None, 2), told(Some("its own name"), 3)]),
            entries([("no sheet", 0), ("one", 2), ("its own name", 3)])
        );
        // One that could not be laid out leaves the next its own pages.
        assert_eq!(of(&[None, told(None, 3)]), entries([("no sheet", 0), ("one", 0), ("two", 3)]));
        assert_eq!(of(&[told(None, 2)]), entries([("no sheet", 0), ("one", 2), ("two", 0)]));
        assert_eq!(of(&[]), entries([("no sheet", 0), ("one", 0), ("two", 0)]));
        // More than there are entries are nobody's.
        assert_eq!(of(&vec![told(None, 1); 3]), entries([("no sheet", 0), ("one", 1), ("two", 1)]));
    }
}
