//! Which panel is filled from which batch.
//!
//! Panels are filled one after the other from the batches in their order; where a batch ends inside a panel, the next one
//! finishes it. Rapid-setting cement would set in between, so there the panels are first shared out whole.

use workshop::ids::PanelId;

/// Batch litres are rounded to millilitres one by one: so many may be missing to a panel without a batch being short.
const ROUNDING_ML: i64 = 3;
/// Steps after which the search for whole panels is given up.
const MOST_STEPS: u32 = 50_000;

/// A panel to fill, ml.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Which panel.
    pub panel: PanelId,
    /// Its concrete, ml.
    pub volume: i64,
}

/// What one batch does for one panel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which panel.
    pub panel: PanelId,
    /// Concrete from this batch, ml.
    pub volume: i64,
    /// Whether this batch is the first to go into it.
    pub begins: bool,
    /// Whether this batch fills it up.
    pub finishes: bool,
}

/// The parts of each batch, and whether every panel is filled from one batch only.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allotment {
    /// By batch, in mixing order.
    pub batches: Vec<Vec<Part>>,
    /// Whether no panel stands on two batches.
    pub whole: bool,
}

/// Shares the panels out over batches of the given volumes, ml. `keep_whole` asks for no panel on two batches; where there
/// is no way to do that, the answer says so by `whole`.
pub fn allot(pieces: &[Piece], batches: &[i64], keep_whole: bool) -> Allotment {
    let whole = if keep_whole { shared_out_whole(pieces, batches) } else { None };
    let batches = whole.unwrap_or_else(|| one_after_the_other(pieces, batches));
    let whole = batches.iter().flatten().all(|part| part.begins && part.finishes);
    Allotment { batches, whole }
}

fn one_after_the_other(pieces: &[Piece], batches: &[i64]) -> Vec<Vec<Part>> {
    let mut filled: Vec<Vec<Part>> = vec![Vec::new(); batches.len()];
    let (mut batch, mut left) = (0, batches.first().copied().unwrap_or(0));
    for piece in pieces {
        let mut missing = piece.volume;
        while missing > 0 {
            let is_last = batch + 1 >= batches.len();
            if left <= ROUNDING_ML && !is_last {
                batch += 1;
                left = batches[batch];
                continue;
            }
            let volume = if is_last || missing <= left + ROUNDING_ML { missing } else { left };
            let begins = missing == piece.volume;
            missing -= volume;
            left -= volume;
            let part = Part { panel: piece.panel.clone(), volume, begins, finishes: missing == 0 };
            filled.get_mut(batch).into_iter().for_each(|b| b.push(part.clone()));
        }
    }
    filled
}

/// Whole panels into the batches, the largest first, going back where it does not come out; none where it never does.
fn shared_out_whole(pieces: &[Piece], batches: &[i64]) -> Option<Vec<Vec<Part>>> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|i| (-pieces[*i].volume, *i));
    let mut room: Vec<i64> = batches.iter().map(|b| b + ROUNDING_ML).collect();
    let mut place = vec![0; pieces.len()];
    let mut steps = 0;
    if !put(&order, pieces, &mut room, &mut place, &mut steps) {
        return None;
    }
    let mut filled = vec![Vec::new(); batches.len()];
    for (piece, batch) in pieces.iter().zip(place) {
        let part = Part { panel: piece.panel.clone(), volume: piece.volume, begins: true, finishes: true };
        filled[batch].push(part);
    }
    Some(filled)
}

fn put(order: &[usize], pieces: &[Piece], room: &mut [i64], place: &mut [usize], steps: &mut u32) -> bool {
    let Some((piece, rest)) = order.split_first() else { return true };
    *steps += 1;
    for batch in 0..room.len() {
        let volume = pieces[*piece].volume;
        // Two batches with equal room are the same to try.
        let tried = room[..batch].contains(&room[batch]);
        if tried || room[batch] < volume || *steps > MOST_STEPS {
            continue;
        }
        room[batch] -= volume;
        place[*piece] = batch;
        if put(rest, pieces, room, place, steps) {
            return true;
        }
        room[batch] += volume;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(of: &[(&str, i64, usize)]) -> Vec<Piece> {
        let one = |(panel, volume, n): &(&str, i64, usize)| {
            vec![Piece { panel: PanelId::parse(panel).unwrap(), volume: *volume }; *n]
        };
        of.iter().flat_map(one).collect()
    }

    /// Per batch: panel, ml, b(egins) or -, f(inishes) or -.
    fn shown(allotment: &Allotment) -> Vec<Vec<String>> {
        let mark = |yes, c| if yes { c } else { '-' };
        let part = |p: &Part| format!("{} {} {}{}", p.panel, p.volume, mark(p.begins, 'b'), mark(p.finishes, 'f'));
        allotment.batches.iter().map(|b| b.iter().map(part).collect()).collect()
    }

    #[test]
    fn a_panel_across_two_batches_stands_on_both() {
        let allotment = allot(&pieces(&[("side", 10_000, 3)]), &[15_000, 15_000], false);
        assert_eq!(shown(&allotment), [["side 10000 bf", "side 5000 b-"], ["side 5000 -f", "side 10000 bf"]]);
        assert!(!allotment.whole);
    }

    #[test]
    fn a_panel_larger_than_a_batch_stands_on_three() {
        let allotment = allot(&pieces(&[("big", 25_000, 1)]), &[10_000, 10_000, 10_000], false);
        assert_eq!(shown(&allotment), [["big 10000 b-"], ["big 10000 --"], ["big 5000 -f"]]);
    }

    #[test]
    fn rounded_batches_do_not_split_a_panel_for_a_drop() {
        // 20 litres in three equal batches are 6.667 litres each, one rounded down.
        let allotment = allot(&pieces(&[("side", 6_667, 3)]), &[6_667, 6_666, 6_667], false);
        assert!(allotment.whole, "{allotment:?}");
        assert_eq!(allotment.batches.iter().map(Vec::len).collect::<Vec<_>>(), [1, 1, 1]);
    }

    #[test]
    fn the_last_batch_takes_what_is_left() {
        let allotment = allot(&pieces(&[("side", 10_000, 2)]), &[10_000, 9_990], false);
        assert_eq!(shown(&allotment), [["side 10000 bf"], ["side 10000 bf"]]);
    }

    #[test]
    fn rapid_panels_are_shared_out_whole_where_there_is_a_way() {
        let mixed = pieces(&[("cap", 4_000, 2), ("side", 7_000, 2)]);
        let allotment = allot(&mixed, &[11_000, 11_000], true);
        assert!(allotment.whole);
        assert_eq!(shown(&allotment), [["cap 4000 bf", "side 7000 bf"], ["cap 4000 bf", "side 7000 bf"]]);
        // Largest first into the first batch with room would fail here: 6 + 6 leaves 5 + 5 + 2 for 11.
        let tight = pieces(&[("a", 6_000, 2), ("b", 5_000, 2)]);
        assert!(allot(&tight, &[11_000, 11_000], true).whole);
    }

    #[test]
    fn where_there_is_no_way_it_says_so() {
        let allotment = allot(&pieces(&[("side", 7_000, 3)]), &[10_500, 10_500], true);
        assert!(!allotment.whole);
        let poured: i64 = allotment.batches.iter().flatten().map(|p| p.volume).sum();
        assert_eq!(poured, 21_000);
    }

    #[test]
    fn hopeless_cases_end() {
        let many = pieces(&[("a", 3_001, 31)]);
        assert!(!allot(&many, &[10_000; 10], true).whole);
    }
}
