//! placeholder
use closefit::geom::kernel::*;
#[test]
fn dbg() {
    let bytes = std::fs::read("tests/perf/inputs/fit/yaw_200.json").unwrap();
    let v: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
    let place = |i: usize| -> Vec<Shape> {
        let p = &v["parts"][i];
        let f = |x: &serde_json::Value| x.as_f64().unwrap();
        let r = |k: usize| f(&p["rot"][k]);
        let t =
            Turn::from_rows([[r(0), r(1), r(2)], [r(3), r(4), r(5)], [r(6), r(7), r(8)]]).unwrap();
        let v3 = |x: &serde_json::Value| Vec3::new(f(&x[0]), f(&x[1]), f(&x[2]));
        p["shapes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| {
                let c = v3(&p["pos"]) + t.apply(v3(&s["center"]));
                if s["kind"] == "box" {
                    Shape::cuboid(c, v3(&s["size"]) * 0.5, &t).unwrap()
                } else {
                    let k = match s["axis"].as_str().unwrap() {
                        "x" => 0,
                        "y" => 1,
                        _ => 2,
                    };
                    Shape::cylinder(
                        c,
                        t.apply(Vec3::unit(k)),
                        f(&s["radius"]),
                        f(&s["height"]) / 2.0,
                    )
                    .unwrap()
                }
            })
            .collect()
    };
    for (i, j) in [(21, 38), (27, 131), (150, 159), (6, 10)] {
        println!("--- {i} {j}");
        for (m, a) in place(i).iter().enumerate() {
            for (n, b) in place(j).iter().enumerate() {
                println!(
                    "{} {} {:?}",
                    v["parts"][i]["shapes"][m],
                    v["parts"][j]["shapes"][n],
                    gap(a, b, 10.0)
                );
            }
        }
    }
}
