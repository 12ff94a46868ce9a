use planner::*;
fn main() {
    let s: f64 = std::env::var("S").ok().and_then(|s| s.parse().ok()).unwrap_or(10.0);
    for path in std::env::args().skip(1) {
        let facts = feeds::documents::read_facts(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let t = std::time::Instant::now();
        let name = path.rsplit('/').next().unwrap().to_owned();
        let out = run(&facts, &Limits::seconds(s, 2, 1), &move || t.elapsed().as_secs_f64(), &mut |p| {
            println!(
                "   {:.2} {:?} {} {} bound {} {}",
                p.seconds, p.way, p.figures.order_days_late, p.figures.material_cost, p.bound, p.sentence
            )
        })
        .unwrap();
        println!(
            "{name} {:?} {:?} wall {:.1}",
            out.plan.figures,
            out.plan.proof.as_ref().unwrap(),
            t.elapsed().as_secs_f64()
        );
        if std::env::var("WHY").is_ok() {
            for l in &out.explanation.late {
                println!("{:?} {}", l.cause, l.sentence);
            }
            for l in &out.explanation.shorts {
                println!("{}", l.sentence);
            }
        }
        std::fs::create_dir_all("/tmp/plans").unwrap();
        std::fs::write(format!("/tmp/plans/{name}"), feeds::documents::write_plan(&out.plan)).unwrap();
    }
}
